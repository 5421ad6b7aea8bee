// Writes sw.js into a built app, after `vite build`: the list of its files is part of the service
// worker, so every change of the app is a new service worker.
//
//   node scripts/service-worker.mjs [FOLDER]     dist unless given
import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, statSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { build } from 'vite';

const web = new URL('..', import.meta.url).pathname;
const dist = resolve(process.argv[2] ?? join(web, 'dist'));

// Every surface's chunks are kept, the board's too: they are a tenth of the rule book, a lead works
// in basements as well, and one version is kept whole. The manifest and its icons are the browser's.
const shell = /^(([a-z]+\/)*[a-z]+\.html|icon\.svg|assets\/.+\.(js|css|wasm|woff2|svg|txt))$/;
const files = readdirSync(dist, { recursive: true })
  .map(String)
  .filter((name) => shell.test(name) && statSync(join(dist, name)).isFile())
  .sort()
  .map((name) => {
    const hash = createHash('sha256').update(readFileSync(join(dist, name)));
    const sum = hash.digest('base64');
    // Integrity: a version that is put up while another is being fetched must not mix with it.
    return {
      url: `/${name}`,
      revision: name.startsWith('assets/') ? null : sum.slice(0, 16),
      integrity: `sha256-${sum}`,
    };
  });
if (!files.some(({ url }) => url.endsWith('.wasm'))) throw new Error(`no rule book in ${dist}`);

// The service's own list, so that a page the service would not answer is not answered here either.
const source = readFileSync(join(web, '../internal/httpapi/webapp.go'), 'utf8');
const screens = /var screens = \[\]string\{(.*)\}/.exec(source)?.[1]?.match(/[^", ]+/g);
if (!screens) throw new Error('webapp.go no longer lists the screens');
const lost = files.find(
  ({ url }) => /\.html$/.test(url) && ![...screens, '/index'].includes(url.slice(0, -5)),
);
if (lost !== undefined) throw new Error(`${lost.url} is the page of no screen in webapp.go`);

await build({
  root: web,
  configFile: false,
  logLevel: 'warn',
  define: { __FILES__: JSON.stringify(files), __SCREENS__: JSON.stringify(screens) },
  build: {
    outDir: dist,
    emptyOutDir: false,
    copyPublicDir: false,
    target: ['es2021', 'chrome94', 'firefox93', 'safari15.4'],
    rolldownOptions: {
      input: join(web, 'src/service-worker/service-worker.ts'),
      output: { format: 'iife', entryFileNames: 'sw.js' },
    },
  },
});
const bytes = files.reduce((sum, { url }) => sum + statSync(join(dist, url)).size, 0);
console.log(`service worker: ${files.length} files, ${bytes} bytes kept on the device`);
