// Draws the icons that an installed app shows from public/icon.svg. Run it after changing that file;
// its output is committed.
//
//   node scripts/icons.mjs
import { mkdirSync, readFileSync } from 'node:fs';
import { chromium } from 'playwright-core';
import { chromiumHere } from './chromium.mjs';

const publicFolder = new URL('../public/', import.meta.url).pathname;
const svg = readFileSync(`${publicFolder}icon.svg`, 'utf8');
if (!svg.includes('viewBox="0 0 64 64"')) throw new Error('icon.svg is no longer 64 by 64');

// A maskable icon may be cut to a circle of four fifths of its width; an iPhone rounds the corners.
const icons = [
  { name: '192', size: 192, margin: 0 },
  { name: '512', size: 512, margin: 0 },
  { name: 'maskable-512', size: 512, margin: 12 },
  { name: 'apple-touch-180', size: 180, margin: 5 },
];
mkdirSync(`${publicFolder}icons`, { recursive: true });
const browser = await chromium.launch(chromiumHere);
for (const { name, size, margin } of icons) {
  const page = await browser.newPage({ viewport: { width: size, height: size } });
  const wide = 64 + 2 * margin;
  const drawn = svg
    .replace('viewBox="0 0 64 64"', `viewBox="${-margin} ${-margin} ${wide} ${wide}"`)
    .replace('d="M0 0H64V64H0Z"', `d="M${-margin} ${-margin}h${wide}v${wide}h${-wide}Z"`);
  await page.setContent(
    `<style>*{margin:0}svg{display:block;width:100vw;height:100vh}</style>${drawn}`,
  );
  await page.screenshot({ path: `${publicFolder}icons/${name}.png` });
}
await browser.close();
