import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { held, photograph, radioOff, rows } from './device.ts';
import { looks, onPhone, type Site, signIn, startBrowser, startSite } from './site.ts';

/* What the matter may be with a phone: each is said in words, on a screen that is looked at. */

let site: Site;
let browser: Browser;

beforeAll(async () => {
  [site, browser] = await Promise.all([startSite(), startBrowser()]);
});

afterAll(async () => {
  await browser?.close();
  await site?.stop();
});

/** Without a service worker: whether the app itself is kept is for other tests. */
async function phone(): Promise<BrowserContext> {
  const context = await onPhone(browser, { serviceWorkers: 'block' });
  context.setDefaultTimeout(60_000);
  return context;
}

async function marcoOn(context: BrowserContext): Promise<Page> {
  const page = await context.newPage();
  await page.goto(site.url);
  await signIn(site, page, 'marco');
  await page.locator('.next-line').first().waitFor();
  return page;
}

/** Tapes what is next on the linen closet door: three widths by the tests here, then a height. */
async function tapeLinen(page: Page, value: string, reading = 'Width'): Promise<void> {
  await page.locator('.next-line', { hasText: 'Linen closet door' }).tap();
  await page.getByRole('button', { name: /^Tape the/ }).tap();
  await page.getByRole('textbox', { name: /Type/ }).fill(value);
  await page.keyboard.press('Enter');
  await page.getByText(new RegExp(`^Kept: ${reading}`)).first().waitFor();
}

/** What was on the list of what is not sent has left it. */
async function allSent(page: Page): Promise<void> {
  const left = page.locator('.unsent-entry, .need .unsent-why').or(page.getByText(/not sent/));
  await expect.poll(() => left.count(), { timeout: 30_000 }).toBe(0);
}

/** How many readings of the open item are in the log. */
async function readings(page: Page): Promise<number> {
  const [, job, item] = /jobs\/([0-9a-f-]+)\/items\/([0-9a-f-]+)/.exec(page.url()) ?? [];
  const answer = await page.request.get(`${site.url}/api/v1/jobs/${job}/items/${item}/entries?limit=1000`);
  const { entries } = (await answer.json()) as { entries: { sentence: string }[] };
  return entries.filter(({ sentence }) => /^Width at/.test(sentence)).length;
}

test('storage that is nearly full is said at home and where photos are taken', async () => {
  const context = await phone();
  await context.addInitScript(() => {
    navigator.storage.estimate = async () => ({ usage: 470e6, quota: 500e6 });
  });
  const page = await marcoOn(context);
  await page.getByText('This phone is nearly full: about 30 MB are left here.').waitFor();
  expect(await looks(page, 'trouble-room')).toEqual([]);
  await page.locator('.next-line', { hasText: 'Linen closet door' }).tap();
  const photos = page.getByRole('region', { name: 'Photos' });
  const sign = photos.getByText('about 30 MB are left here');
  await sign.waitFor();
  expect(await looks(page, 'trouble-room-photos', sign)).toEqual([]);
  await context.close();
});

test('a browser without a database says so, keeps what is entered and sends it', async () => {
  const context = await phone();
  await context.addInitScript(() => {
    IDBFactory.prototype.open = () => {
      throw new DOMException('not in a private window', 'InvalidStateError');
    };
  });
  const page = await marcoOn(context);
  await page.getByText('This browser has no room of its own for jobs').waitFor();
  expect(await looks(page, 'trouble-database')).toEqual([]);
  const radioOn = await radioOff(context);
  await tapeLinen(page, '30 1/16');
  await page.goto(`${site.url}/bench/unsent`);
  await page.getByText('1 entry not sent').waitFor();
  await radioOn();
  await page.evaluate(() => dispatchEvent(new Event('online')));
  await allSent(page);
  await context.close();
});

test('a phone where neither the rule book runs nor the app is kept says so and works by the service', async () => {
  const context = await phone();
  await context.route('**/rulebook-*.wasm', (route) => route.abort());
  const page = await marcoOn(context);
  await page.getByText('The rule book is not running here').waitFor();
  await page.getByText('This browser does not keep the app itself').waitFor();
  expect(await looks(page, 'trouble-rules')).toEqual([]);
  // What is typed needs the rule book to be read; the tape itself does not.
  await page.locator('.next-line', { hasText: 'Linen closet door' }).tap();
  await page.getByRole('button', { name: /^Tape the/ }).tap();
  const tape = page.locator('.tape');
  const before = await readings(page);
  await page.getByRole('textbox', { name: /Type/ }).fill('30');
  await page.keyboard.press('Enter');
  await page.getByText("Can't read typed lengths just now. Use the tape below.").waitFor();
  expect(await looks(page, 'trouble-rules-tape')).toEqual([]);
  for (const digit of '30') await tape.getByRole('button', { name: digit, exact: true }).tap();
  await tape.getByRole('button', { name: /Keep, next/ }).tap();
  await expect.poll(() => readings(page), { timeout: 30_000 }).toBe(before + 1);
  await context.close();
});

test('what one person has not sent outlives their sign-out, waits through another, and goes when they are back', async () => {
  const context = await phone();
  const page = await marcoOn(context);
  await held(page);
  const radioOn = await radioOff(context);
  await tapeLinen(page, '30 1/32');
  await page.goto(`${site.url}/bench`);
  await page.getByRole('button', { name: 'Sign out' }).tap();
  const stays = page.getByText('Signing out needs a signal');
  await stays.waitFor();
  expect(await looks(page, 'trouble-sign-out', stays)).toEqual([]);

  // The service no longer knows this phone: it asks who this is, and says what waits.
  await context.clearCookies();
  await radioOn();
  await page.reload();
  await page.getByText(/1 entry/).waitFor();
  expect(await looks(page, 'trouble-sign-in')).toEqual([]);
  await signIn(site, page, 'tess');
  await page.locator('main.home').waitFor();
  await page.goto(`${site.url}/bench/unsent`);
  await page.getByText(/^Marco Delgado/).waitFor();
  expect(await rows(page, 'outbox')).toBe(1);
  expect(await looks(page, 'trouble-others')).toEqual([]);
  await page.goto(`${site.url}/bench`);
  await page.getByRole('button', { name: 'Sign out' }).tap();
  await signIn(site, page, 'marco');
  await page.locator('.next-line').first().waitFor();
  await expect.poll(() => rows(page, 'outbox'), { timeout: 30_000 }).toBe(0);
  await context.close();
});

test('what the service turns back at its door, and what the rules here turn back, waits for its author', async () => {
  const context = await phone();
  const page = await marcoOn(context);
  await held(page);
  const detail = 'The phone’s clock says the year 1970.';
  await context.route('**/commands*', (route) =>
    route.fulfill({ status: 422, contentType: 'application/problem+json', body: JSON.stringify({ title: 'Not taken', status: 422, detail }) }),
  );
  await tapeLinen(page, '81 3/32', 'Height');
  await page.goto(`${site.url}/bench/unsent`);
  await page.getByText(detail).waitFor();
  expect(await looks(page, 'trouble-stuck')).toEqual([]);
  await page.getByRole('button', { name: 'Take it out unsent' }).tap();
  expect(await looks(page, 'trouble-take-out')).toEqual([]);
  await page.getByRole('dialog').getByRole('button', { name: 'Keep it', exact: true }).tap();
  await context.unroute('**/commands*');
  await page.getByRole('button', { name: 'Try again' }).tap();
  await allSent(page);
  await context.close();
});

test('a clock that is far off is said, with what goes by which clock', async () => {
  await site.ahead(125);
  const context = await phone();
  const page = await marcoOn(context);
  await page.getByText(/clock is 12\d min slow/).waitFor();
  expect(await looks(page, 'trouble-clock')).toEqual([]);
  await context.close();
});

test('a phone that locks in the pocket under an open sheet opens with its PIN, and the sheet is as it was', async () => {
  const context = await phone();
  const page = await marcoOn(context);
  const pin = async (digits: string) => {
    for (const digit of digits) await page.getByRole('button', { name: digit, exact: true }).tap();
  };
  await page.goto(`${site.url}/you`);
  await page.getByRole('button', { name: 'Set a PIN' }).tap();
  await pin('2580');
  await page.getByText('The same four again').first().waitFor();
  await pin('2580');
  await page.getByRole('button', { name: 'Go without' }).waitFor();
  await page.goto(site.url);
  await pin('2580');
  await page.locator('.next-line', { hasText: 'Linen closet door' }).tap();
  await page.getByLabel('Take a photo').setInputFiles(await photograph(page, '#7a5'));
  const words = page.getByLabel('What it shows');
  await words.fill('The jack is tw');
  // Laid away for six minutes, by the device's clock, and picked up: nothing is loaded anew.
  await page.evaluate(() => {
    const look = (state: string) => {
      Object.defineProperty(document, 'visibilityState', { value: state, configurable: true });
      document.dispatchEvent(new Event('visibilitychange'));
    };
    const now = Date.now;
    look('hidden');
    Date.now = () => now() + 6 * 60_000;
    look('visible');
    Date.now = now;
  });
  await page.locator('.lock').waitFor();
  expect(await words.isVisible()).toBe(false);
  await page.keyboard.press('Escape');
  await page.keyboard.press('Escape');
  expect(await looks(page, 'trouble-lock')).toEqual([]);
  await pin('2580');
  await page.locator('.lock').waitFor({ state: 'detached' });
  expect(await words.inputValue()).toBe('The jack is tw');
  await page.getByRole('button', { name: 'Keep it in the log' }).tap();
  await words.waitFor({ state: 'detached' });
  await context.close();
});
