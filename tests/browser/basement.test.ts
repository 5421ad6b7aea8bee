import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { hearsAgain, held, radioOff, rows } from './device.ts';
import { tapeToNails } from './door-steps.ts';
import { onPhone, picture, type Site, signIn, startBrowser, startSite, violations } from './site.ts';

let site: Site;
let browser: Browser;

beforeAll(async () => {
  [site, browser] = await Promise.all([startSite(), startBrowser()]);
});

afterAll(async () => {
  await browser?.close();
  await site?.stop();
});

test('a door from tape to nails with the radio off, then it arrives', async () => {
  const context = await onPhone(browser);
  const page = await context.newPage();
  const errors: string[] = [];
  page.on('pageerror', (error) => errors.push(error.message));
  await page.goto(site.url);
  await signIn(site, page, 'marco');
  await page.locator('.next-line', { hasText: 'Linen closet door' }).tap();
  await page.locator('.item').waitFor();
  const [, job, item] = /jobs\/([0-9a-f-]+)\/items\/([0-9a-f-]+)/.exec(page.url()) ?? [];
  await held(page);

  const radioOn = await radioOff(context);
  await tapeToNails(page);
  await picture(page, 'basement');
  expect(await violations(page)).toEqual([]);
  const waiting = await rows(page, 'outbox');
  expect(waiting).toBeGreaterThan(20);

  // Closed and opened again, still without a signal: all of it is there.
  await page.reload();
  await expect.poll(() => page.locator('.item-bar').innerText()).toMatch(/filled/i);
  expect(await rows(page, 'outbox')).toBe(waiting);
  await radioOn();
  await hearsAgain(page);
  const answer = await context.request.get(`${site.url}/api/v1/jobs/${job}/items/${item}`);
  const view = (await answer.json()) as { stages: { stage: string; status: string }[] };
  expect(view.stages.slice(0, 5).map(({ stage, status }) => `${stage} ${status}`)).toEqual(
    ['measured', 'trimmed', 'hung', 'cased', 'nailed'].map((stage) => `${stage} done`),
  );
  expect(errors).toEqual([]);
});
