import { execFileSync } from 'node:child_process';
import preact from '@preact/preset-vite';
import { defineConfig } from 'vitest/config';
import { preload } from './scripts/preload.ts';
import { ruleWords } from './scripts/rule-words.ts';

// Everything is a file of this origin: the service sends a Content-Security-Policy without
// 'unsafe-inline' and without data: sources, so nothing may be inlined into the HTML or the CSS.
export default defineConfig(({ mode }) => {
  const gallery = mode === 'gallery';
  return {
    plugins: [preact(), ruleWords(), preload()],
    define: { __APP_VERSION__: JSON.stringify(version()) },
    build: {
      outDir: gallery ? 'dist-gallery' : 'dist',
      assetsDir: 'assets',
      assetsInlineLimit: 0,
      modulePreload: { polyfill: false },
      target: ['es2021', 'chrome94', 'firefox93', 'safari15.4'],
      rolldownOptions: { input: gallery ? ['gallery.html'] : ['index.html'] },
    },
    worker: { format: 'es' },
    server: { host: '127.0.0.1', proxy: { '/api': 'http://127.0.0.1:8080' } },
    preview: { host: '127.0.0.1' },
    test: { environment: 'happy-dom', include: ['tests/**/*.test.{ts,tsx}'] },
  };
});

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
