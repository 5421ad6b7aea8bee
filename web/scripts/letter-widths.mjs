// Prints how wide the app's letters are, as look/letter-widths.ts has them: for when the font changes.
//
//   node scripts/letter-widths.mjs
import { readFileSync } from 'node:fs';
import { chromium } from 'playwright-core';
import { chromiumHere } from './chromium.mjs';

const files = new URL('../node_modules/@fontsource/public-sans/files/', import.meta.url);
const letters = Array.from({ length: 95 }, (_, at) => String.fromCharCode(at + 32));
const browser = await chromium.launch(chromiumHere);
const page = await browser.newPage();
for (const weight of [400, 600]) {
  const file = readFileSync(new URL(`public-sans-latin-${weight}-normal.woff2`, files));
  const widths = await page.evaluate(
    async ({ font, letters }) => {
      document.fonts.add(
        await new FontFace('measured', `url(data:font/woff2;base64,${font})`).load(),
      );
      const pen = document.createElement('canvas').getContext('2d');
      pen.font = '1000px measured';
      const widths = letters.map((letter) => pen.measureText(letter).width);
      document.fonts.clear();
      return widths;
    },
    { font: file.toString('base64'), letters },
  );
  const signs = widths.map((width) => String.fromCharCode(Math.round(width / 12) + 24)).join('');
  console.log(`${weight}: ${JSON.stringify(signs)}`);
}
await browser.close();
