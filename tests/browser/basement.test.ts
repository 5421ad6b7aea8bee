import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
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

/** The service cannot be reached, though the app's files can: the radio is off for what matters here. */
async function radioOff(context: BrowserContext): Promise<() => Promise<void>> {
  await context.route('**/api/**', (route) => route.abort());
  return () => context.unroute('**/api/**');
}

/** Waits until the device holds the person's jobs itself. */
async function held(page: Page): Promise<void> {
  await expect.poll(() => rows(page, 'jobs'), { timeout: 60_000 }).toBeGreaterThan(0);
}

/** How many rows a store of the device's database has. */
function rows(page: Page, store: string): Promise<number> {
  return page.evaluate(
    (name) =>
      new Promise<number>((resolve) => {
        const opening = indexedDB.open('longpoint');
        opening.onsuccess = () => {
          const db = opening.result;
          if (!db.objectStoreNames.contains(name)) return resolve(-1);
          const count = db.transaction(name).objectStore(name).count();
          count.onsuccess = () => {
            db.close();
            resolve(count.result);
          };
        };
      }),
    store,
  );
}

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
  await page.evaluate(() => dispatchEvent(new Event('online')));
  await expect.poll(() => rows(page, 'outbox'), { timeout: 30_000 }).toBe(0);
  const answer = await context.request.get(`${site.url}/api/v1/jobs/${job}/items/${item}`);
  const view = (await answer.json()) as { stages: { stage: string; status: string }[] };
  expect(view.stages.slice(0, 5).map(({ stage, status }) => `${stage} ${status}`)).toEqual(
    ['measured', 'trimmed', 'hung', 'cased', 'nailed'].map((stage) => `${stage} done`),
  );
  expect(errors).toEqual([]);
});
