import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { widthOf } from '../../web/src/look/letter-widths.ts';
import { onPhone, type Site, signIn, startBrowser, startSite } from './site.ts';

let site: Site;
let browser: Browser;
let page: Page;

beforeAll(async () => {
  [site, browser] = await Promise.all([startSite(), startBrowser()]);
  page = await (await onPhone(browser)).newPage();
  await page.goto(site.url);
  await signIn(site, page, 'marco');
  await page.locator('.next-line', { hasText: 'Linen closet door' }).tap();
  await page.locator('.item .drawing').first().waitFor();
});

afterAll(async () => {
  await browser?.close();
  await site?.stop();
});

test('the widths a drawing is laid out by are those of the letters it is drawn in', async () => {
  const letters = Array.from({ length: 95 }, (_, code) => String.fromCharCode(code + 32));
  const lines = [
    'width at the bottom',
    'Altura, lado de la bisagra',
    'section at the floor, 6×',
    '34 1/16',
    'Öffnung, tiré',
  ];
  const size = 100;
  const drawn = await page.evaluate(
    async ({ texts, size }) => {
      const pen = document.createElement('canvas').getContext('2d');
      if (pen === null) throw new Error('no canvas');
      const found: [string, number, number][] = [];
      for (const weight of [400, 600]) {
        const font = `${weight} ${size}px 'Public Sans'`;
        await document.fonts.load(font);
        if (!document.fonts.check(font)) throw new Error(`no ${font}`);
        pen.font = font;
        for (const text of texts) found.push([text, weight, pen.measureText(text).width]);
      }
      return found;
    },
    { texts: [...letters, ...lines], size },
  );
  expect(drawn).toHaveLength(2 * (letters.length + lines.length));
  for (const [text, weight, width] of drawn) {
    const said = widthOf(text, size, weight);
    // A letter to half a step; a line, whose pairs stand closer than its letters alone, to two in a hundred.
    const off = text.length === 1 ? 0.61 : 0.02 * width;
    expect(Math.abs(said - width), `${text} at ${weight}: ${said} for ${width}`).toBeLessThan(off);
  }
});

test("what nobody has to take is drawn too, a moment after what is, on a page's first drawing", async () => {
  const order = await page.context().newPage();
  await order.addInitScript(() => {
    const seen: string[] = [];
    Object.assign(globalThis, { seen });
    new MutationObserver(() => {
      const count = (which: string) =>
        document.querySelectorAll(`.drawing ${which}[role="button"]`).length;
      const now = `${count('.dim:not(.dim-optional)')} and ${count('.dim-optional')}`;
      if (seen.at(-1) !== now) seen.push(now);
    }).observe(document, { childList: true, subtree: true });
  });
  await order.goto(page.url());
  await order
    .locator('.drawing .dim-optional[role="button"]')
    .first()
    .waitFor({ state: 'attached' });
  const seen = await order.evaluate(() => (globalThis as unknown as { seen: string[] }).seen);
  const steps = seen.filter((step) => step !== '0 and 0');
  expect(steps[0]).toMatch(/^[1-9]\d* and 0$/);
  expect(steps.at(-1)).toMatch(/^[1-9]\d* and [1-9]\d*$/);
  expect(steps[0]?.split(' ')[0]).toBe(steps.at(-1)?.split(' ')[0]);
});

test('what needs somebody lies on the floor beside the pole, and over nothing that can be touched', async () => {
  const sign = page.locator('.item-bar .sync-waiting');
  await sign.waitFor();
  const found = await page.evaluate(() => {
    scrollTo(0, document.documentElement.scrollHeight);
    const box = (of: Element | null) => of?.getBoundingClientRect() ?? new DOMRect();
    const sign = box(document.querySelector('.item-bar .sync-waiting'));
    const touched = [...document.querySelectorAll('.item-work :is(button, a, label)')].map(box);
    return {
      count: touched.length,
      lowest: Math.max(...touched.map(({ bottom }) => bottom)),
      sign: { top: sign.top, left: sign.left, right: sign.right, bottom: sign.bottom },
      pole: box(document.querySelector('.side-pole')).right,
      bar: box(document.querySelector('.item-bar')).top,
      wide: document.documentElement.clientWidth,
    };
  });
  expect(found.count).toBeGreaterThan(3);
  expect(found.lowest).toBeLessThanOrEqual(found.sign.top);
  expect(found.sign.left).toBeLessThanOrEqual(found.pole);
  expect(found.sign.right).toBe(found.wide);
  expect(Math.abs(found.sign.bottom - found.bar)).toBeLessThan(1);
});
