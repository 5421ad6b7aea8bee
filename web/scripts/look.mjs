// Looks at the gallery: builds it, serves it on the loopback under the service's own content
// security policy, photographs it at a phone's and a desk's size by day and by work light, and runs
// the accessibility engine on every view. Exits non-zero on a violation, a refused style or script,
// or an error on the page.
//
//   node scripts/look.mjs FOLDER [view …]
import { mkdir } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { chromium } from 'playwright-core';
import { build, preview } from 'vite';
import { chromiumHere } from './chromium.mjs';

const [folder, ...only] = process.argv.slice(2);
if (folder === undefined) {
  console.error('usage: node scripts/look.mjs FOLDER [view …]');
  process.exit(2);
}
await mkdir(folder, { recursive: true });

export const policy = [
  "default-src 'none'",
  "script-src 'self' 'wasm-unsafe-eval'",
  "style-src 'self'",
  "font-src 'self'",
  "img-src 'self' blob:",
  "connect-src 'self'",
  "worker-src 'self'",
  "base-uri 'none'",
  "form-action 'self'",
  "frame-ancestors 'none'",
].join('; ');

await build({ mode: 'gallery', logLevel: 'warn' });
const server = await preview({
  mode: 'gallery',
  logLevel: 'warn',
  build: { outDir: 'dist-gallery' },
  preview: { port: 0, headers: { 'Content-Security-Policy': policy } },
});
const address = server.httpServer.address();
const base = `http://127.0.0.1:${address.port}/gallery.html`;

const browser = await chromium.launch(chromiumHere);

const axe = createRequire(import.meta.url).resolve('axe-core/axe.min.js');
const views = [
  '',
  'tape-next',
  'tape-taken',
  'tape-gap',
  'tape-lean',
  'tape-mm',
  'opening',
  'stages',
  'sheet',
];
const sizes = [
  { name: 'phone', width: 390, height: 844, touch: true },
  { name: 'desk', width: 1280, height: 800, touch: false },
];
let wrong = 0;
let looked = 0;
const complain = (where, what) => {
  wrong += 1;
  console.error(`${where}: ${what}`);
};

for (const size of sizes) {
  for (const colorScheme of ['light', 'dark']) {
    // The accessibility engine is injected by the test, so the policy is checked on its own page.
    for (const view of views.filter((name) => only.length === 0 || only.includes(name || 'all'))) {
      const where = `${view || 'all'}-${size.name}-${colorScheme}`;
      const context = await browser.newContext({
        viewport: { width: size.width, height: size.height },
        deviceScaleFactor: size.touch ? 2 : 1,
        hasTouch: size.touch,
        isMobile: size.touch,
        colorScheme,
      });
      const page = await context.newPage();
      page.on('pageerror', (error) => complain(where, error.message));
      page.on('console', (message) => {
        if (message.type() === 'error') complain(where, message.text());
      });
      await page.goto(`${base}#${view}`);
      await page.evaluate(() => document.fonts.ready);
      await page.waitForTimeout(500);
      await page.screenshot({
        path: `${folder}/${where}.png`,
        fullPage: view === '' || view === 'opening' || view === 'stages',
      });
      const sideways = await page.evaluate(
        () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
      );
      if (sideways > 0) complain(where, `scrolls ${sideways}px sideways`);
      await context.close();

      const judged = await browser.newContext({
        viewport: { width: size.width, height: size.height },
        colorScheme,
        bypassCSP: true,
        reducedMotion: 'reduce',
      });
      const again = await judged.newPage();
      await again.goto(`${base}#${view}`);
      await again.evaluate(() => document.fonts.ready);
      await again.addScriptTag({ path: axe });
      const { violations } = await again.evaluate(() =>
        globalThis.axe.run(document, {
          runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
        }),
      );
      looked += 1;
      for (const violation of violations) {
        complain(
          where,
          `${violation.id}: ${violation.help}\n    ${violation.nodes
            .slice(0, 4)
            .map((node) => `${node.target.join(' ')} ${node.any[0]?.message ?? ''}`)
            .join('\n    ')}`,
        );
      }
      await judged.close();
    }
  }
}
await browser.close();
await server.close();
console.log(`${looked} views looked at, ${wrong} things wrong; pictures in ${folder}`);
process.exit(wrong === 0 ? 0 : 1);
