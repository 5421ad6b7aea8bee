import { execFileSync } from 'node:child_process';
import preact from '@preact/preset-vite';
import { defineConfig } from 'vitest/config';
import { surfacePages } from './scripts/pages.ts';
import { ruleWords } from './scripts/rule-words.ts';
import { words } from './scripts/words.ts';

// Everything is a file of this origin: the service sends a Content-Security-Policy without
// 'unsafe-inline' and without data: sources, so nothing may be inlined into the HTML or the CSS.
export default defineConfig(({ mode }) => {
  const gallery = mode === 'gallery';
  return {
    plugins: [preact(), words(), ruleWords(), surfacePages()],
    define: { __APP_VERSION__: JSON.stringify(version()) },
    build: {
      outDir: gallery ? 'dist-gallery' : 'dist',
      assetsDir: 'assets',
      assetsInlineLimit: 0,
      modulePreload: {
        polyfill: false,
        // The page names these itself (pages.ts): nothing is left to look for when they are asked for.
        resolveDependencies: (_file, deps, { hostType }) =>
          hostType === 'html'
            ? deps
            : deps.filter(
                (name) =>
                  !/\/(index|first-read|base|work|bench)-[^/]*\.js$|\/base-[^/]*\.css$/.test(name),
              ),
      },
      target: ['es2021', 'chrome94', 'firefox93', 'safari15.4'],
      rolldownOptions: gallery
        ? { input: ['gallery.html'] }
        : {
            input: ['index.html'],
            output: {
              codeSplitting: { groups: chunks, includeDependenciesRecursively: false },
              // Compiled beside the page as they arrive, and not function by function while it waits.
              postBanner: ({ name }) =>
                ['index', 'bench', ...chunks.map((chunk) => chunk.name)].includes(name)
                  ? '//# allFunctionsCalledOnLoad'
                  : '',
            },
          },
    },
    worker: { format: 'es' },
    server: { host: '127.0.0.1', proxy: { '/api': 'http://127.0.0.1:8080' } },
    preview: { host: '127.0.0.1' },
    test: {
      environment: 'happy-dom',
      include: ['tests/**/*.test.{ts,tsx}'],
      setupFiles: ['tests/all-words.ts'],
    },
  };
});

// Left alone the shared modules make a dozen small files, and every file costs a phone's start some ten
// milliseconds. So they are two: what every surface is made of, and what only those need that work on
// the device's own copy. How the parts look is one file.
const chunks: { name: string; test: RegExp; priority: number }[] = [
  // Run by the page before all others.
  { name: 'first-read', test: /src\/live\/first-read\./, priority: 3 },
  {
    name: 'base',
    test: /node_modules\/(@?preact|idb)|virtual:words\/shared$|oxc-project|preload-helper|src\/(words\/(words\.ts|choose\.ts)|look\/letters\.|live\/(db|device|keep|shelf)\.|api\/|router\.ts|theme\.ts|remembered\.ts|you\/hand\.ts|shell\/(touch|stays|after-frame|use-file)\.|parts\/(button|choice|field|fraction|not-loaded|notice|split-fractions)\.)|src\/(look|parts|sign-in\/gate|bench\/(measure|run-pieces))[^?]*\.css/,
    priority: 2,
  },
  {
    name: 'work',
    test: /src\/(live(?!\/ask-once-sent)|parts(?!\/(link-code|spot|file-button)\.))\/|src\/sign-in\/(gate|session)\.|src\/lock\/pin\.ts|src\/shell\/quiet\.ts|src\/rulebook\/(load|jobs|rulebook|view-text)\.ts|rulebook\.wasm\?url|virtual:rule-words|src\/bench\/(as-list|findings|gauge|item-bar|places|printed|room-plan|run-pieces|sign|taping|tool|walk|when)\.|src\/rulebook\/nails/,
    priority: 1,
  },
];

/** Which sources this is built from, for whoever is asked what a phone runs. */
function version(): string {
  const given = process.env['LONGPOINT_VERSION'];
  if (given) return given;
  try {
    const said = execFileSync('git', ['describe', '--always', '--dirty'], { stdio: 'pipe' });
    return said.toString().trim();
  } catch {
    return 'unversioned'; // built from an archive
  }
}
