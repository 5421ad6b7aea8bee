import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
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

// A basement without a signal: what was taped is kept, outlives the page, and reaches the log once.
test('a reading taped without a signal is kept and arrives once', async () => {
  const context = await onPhone(browser);
  const page = await context.newPage();
  const errors: string[] = [];
  page.on('pageerror', (error) => errors.push(error.message));
  // The rules come with the app, before they are asked for: a laser is read in the basement too.
  const rules = page.waitForResponse(/rulebook-[\w-]+\.wasm/);
  await page.goto(site.url);
  await signIn(site, page, 'marco');
  await (await rules).finished();
  await page.locator('.next-line', { hasText: 'Linen closet door' }).tap();
  await page.locator('.item').waitFor();
  const [, job, item] = /jobs\/([0-9a-f-]+)\/items\/([0-9a-f-]+)/.exec(page.url()) ?? [];
  const taken = async () => {
    const answer = await context.request.get(`${site.url}/api/v1/jobs/${job}/items/${item}/entries`);
    const { entries } = (await answer.json()) as { entries: { sentence: string }[] };
    return entries.map(({ sentence }) => sentence).filter((said) => /^Width at the bottom/.test(said));
  };
  expect(await taken()).toEqual([]);

  await page.getByRole('button', { name: /^Tape the/ }).tap();
  await page.locator('.tape').waitFor();
  await context.setOffline(true);
  await page.getByRole('textbox', { name: /Type/ }).fill('30 1/8');
  await page.keyboard.press('Enter');
  await page.getByText('No signal. Readings are kept here and sent later.').first().waitFor();
  await page.getByText('Kept: Width at the bottom').first().waitFor();
  await picture(page, 'offline');
  expect(await violations(page)).toEqual([]);

  // The page is closed before anything could be sent; what was kept is not lost with it.
  await page.close();
  await context.setOffline(false);
  expect(await taken()).toEqual([]);
  const again = await context.newPage();
  await again.goto(site.url);
  await expect.poll(taken, { timeout: 20_000 }).toHaveLength(1);
  await expect.poll(() => again.evaluate(() => Object.keys(localStorage).filter((key) => key.includes('outbox')))).toEqual([]);
  expect(await taken()).toEqual(['Width at the bottom: 30 1/8, by tape.']);
  expect(errors).toEqual([]);
});
