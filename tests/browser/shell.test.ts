import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import {
  installed,
  looks,
  nextApp,
  onDesk,
  onPhone,
  type Site,
  signIn,
  startBrowser,
  startSite,
  thisApp,
} from './site.ts';

let site: Site;
let browser: Browser;

beforeAll(async () => {
  [site, browser] = await Promise.all([startSite(), startBrowser()]);
  await startIsOver();
}, 300_000);

afterAll(async () => {
  await browser?.close();
  await site?.stop();
});

/**
 * Chromium puts off every look for a new version until its own start is over: until its first page has been quiet for a while,
 * or three minutes. On a busy machine a page that is worked on at once is not quiet. So the first one is left alone, and a look
 * that comes back says that the start is over.
 */
async function startIsOver(): Promise<void> {
  const context = await onPhone(browser);
  const page = await context.newPage();
  await page.goto(site.url);
  await page.getByRole('textbox', { name: 'Passphrase' }).waitFor();
  await installed(page);
  await page.evaluate(async () => {
    await (await navigator.serviceWorker.ready).update();
  });
  await context.close();
}

async function deploy(app: string): Promise<void> {
  await site.down();
  await site.up(app);
}

/** Everything that was refused or failed on a page, for a test to find empty. */
function complaints(page: Page): string[] {
  const said: string[] = [];
  page.on('pageerror', (error) => said.push(error.message));
  page.on('console', (message) => {
    if (message.type() === 'error' && /Content Security Policy|MIME/.test(message.text())) said.push(message.text());
  });
  return said;
}

const version = (page: Page) => page.evaluate(() => document.documentElement.dataset['version']);

async function toCloset(page: Page): Promise<void> {
  await page.locator('.next-line', { hasText: 'Linen closet door' }).tap();
  await page.locator('.item').waitFor();
}

async function tape(page: Page, text: string): Promise<void> {
  await page.getByRole('button', { name: /^Tape the/ }).tap();
  await page.getByRole('textbox', { name: /Type/ }).fill(text);
  await page.keyboard.press('Enter');
  await page.getByText('Kept: Width at the bottom').first().waitFor();
  await page.keyboard.press('Escape');
  if ((await page.locator('.tape').count()) > 0) await page.keyboard.press('Escape');
  await page.locator('.tape').waitFor({ state: 'detached' });
}

// After one visit the whole app is on the phone, screens that were never opened too.
test('a phone that was here once opens the app without a signal', async () => {
  const context = await onPhone(browser);
  const page = await context.newPage();
  const said = complaints(page);
  await page.goto(site.url);
  await signIn(site, page, 'marco');
  await page.locator('.next-line').first().waitFor();
  await installed(page);

  await site.down();
  await page.goto(`${site.url}/bench`);
  await page.getByRole('button', { name: 'Sign out' }).waitFor();
  await page.goto(`${site.url}/board`);
  await page.getByText('No signal').first().waitFor();
  // Each surface has its own page, kept like the rest: it begins with its own files and no other's.
  const begun = await page.evaluate(() => [...document.querySelectorAll('link[rel=modulepreload]')].map((link) => link.getAttribute('href') ?? ''));
  expect(begun.filter((path) => /board-[\w-]+\.js$/.test(path))).not.toEqual([]);
  expect(begun.filter((path) => /bench-[\w-]+\.js$/.test(path))).toEqual([]);

  // The rule book is there too: it reads a length in the fresh page.
  const rules = await page.evaluate(async () => {
    const keys = await caches.keys();
    const cache = await caches.open(keys.find((key) => key.includes('precache')) ?? '');
    const kept = (await cache.keys()).map(({ url }) => new URL(url).pathname);
    return { kept, streams: kept.filter((path) => path.startsWith('/api/')) };
  });
  expect(rules.kept.filter((path) => /rulebook-[\w-]+\.wasm$/.test(path))).toHaveLength(1);
  expect(rules.streams).toEqual([]);

  // What the app does not draw is not answered by it: the browser says that nothing is there.
  await expect(page.goto(`${site.url}/api/v1/me`)).rejects.toThrow();
  await expect(page.goto(`${site.url}/nowhere`)).rejects.toThrow();
  expect(said).toEqual([]);
  await context.close();
  await site.up();
});

test('the browser takes the app for one that can be installed', async () => {
  const context = await onPhone(browser);
  const page = await context.newPage();
  await page.goto(site.url);
  await signIn(site, page, 'marco');
  await installed(page);
  const devtools = await context.newCDPSession(page);
  const manifest = await devtools.send('Page.getAppManifest');
  expect(manifest.errors).toEqual([]);
  const { installabilityErrors } = await devtools.send('Page.getInstallabilityErrors');
  // A window that is opened for a test alone counts as private browsing.
  expect(installabilityErrors.filter(({ errorId }) => errorId !== 'in-incognito')).toEqual([]);
  const { icons } = JSON.parse(manifest.data ?? '') as { icons: { src: string; sizes: string; type: string }[] };
  for (const { src, sizes } of icons.filter(({ type }) => type === 'image/png')) {
    const size = await page.evaluate(async (from) => {
      const drawn = await createImageBitmap(await (await fetch(from)).blob());
      return `${drawn.width}x${drawn.height}`;
    }, src);
    expect(size, src).toBe(sizes);
  }
  await context.close();
});

// Work that is not sent yet is on the phone when a new version comes, and outlives it as it was.
test('a new version waits for the person and leaves what is not sent alone', async () => {
  const context = await onPhone(browser);
  const page = await context.newPage();
  const said = complaints(page);
  // A sick service: it gives out the app and the views, and takes no entries.
  const tried: string[] = [];
  let sick = true;
  // On the pages and not on the whole phone: a route there also stands between the service worker and
  // the files of the next version, and its requests then wait for the test's own process.
  const refuse = (on: Page) =>
    on.route('**/commands*', async (route) => {
      if (!sick || route.request().method() !== 'POST') return route.continue();
      tried.push(route.request().postData() ?? '');
      return route.abort('connectionfailed');
    });
  await refuse(page);
  await page.goto(site.url);
  await signIn(site, page, 'marco');
  await toCloset(page);
  await installed(page);
  const old = await version(page);
  expect(old).not.toBe('next');
  await tape(page, '30 1/8');
  await expect.poll(() => tried.length).toBeGreaterThan(0);
  const [, job, item] = /jobs\/([0-9a-f-]+)\/items\/([0-9a-f-]+)/.exec(page.url()) ?? [];
  const second = await context.newPage();
  await refuse(second);
  await second.goto(`${site.url}/bench`);
  await second.locator('.next-line').first().waitFor();
  await second.locator('body').tap();

  await deploy(nextApp);
  // A tape is up when the new version is found: nothing is said of it.
  await page.bringToFront();
  await page.getByRole('button', { name: /^Tape the/ }).tap();
  await page.locator('.tape').waitFor();
  // A file that did not come is fetched again the next time somebody looks for a new version.
  await expect
    .poll(
      () =>
        page.evaluate(async () => {
          const registration = await navigator.serviceWorker.getRegistration();
          if (!registration?.waiting) await registration?.update().catch(() => undefined);
          return Boolean(registration?.waiting);
        }),
      { timeout: 90_000 },
    )
    .toBe(true);
  const notice = page.getByRole('complementary', { name: 'A new version is ready.' });
  await page.locator('.tape').waitFor();
  expect(await notice.count()).toBe(0);
  await page.keyboard.press('Escape');
  await page.locator('.tape').waitFor({ state: 'detached' });
  // Between two things it is said, once the person goes somewhere else.
  await page.goBack();
  await notice.waitFor();
  expect(await version(page)).toBe(old);
  expect(await looks(page, 'update')).toEqual([]);

  const before = tried.at(-1);
  await notice.getByRole('button', { name: 'Use it now' }).tap();
  await page.waitForFunction(() => document.documentElement.dataset['version'] === 'next');
  await page.getByText('1 waiting').first().waitFor();
  // As it was: the new version sends the very command that the old one wrote.
  await expect.poll(() => tried.length).toBeGreaterThan(1);
  await expect.poll(() => commandsOf(tried.at(-1))).toEqual(commandsOf(before));
  expect(commandsOf(before)).toHaveLength(1);

  // The other page still runs the old version, with chunks that the service no longer has.
  expect(await version(second)).toBe(old);
  await second.evaluate(() => {
    history.pushState(null, '', '/board');
    dispatchEvent(new PopStateEvent('popstate'));
  });
  await second.getByRole('heading', { name: 'Jobs' }).first().waitFor();
  expect(await version(second)).toBe(old);

  sick = false;
  await page.goto(`${site.url}/bench/unsent`);
  await expect
    .poll(async () => {
      const answer = await context.request.get(`${site.url}/api/v1/jobs/${job}/items/${item}/entries`);
      const { entries } = (await answer.json()) as { entries: { sentence: string }[] };
      return entries.map(({ sentence }) => sentence).filter((one) => /^Width at the bottom/.test(one));
    }, { timeout: 20_000 })
    .toEqual(['Width at the bottom: 30 1/8, by tape.']);
  await expect.poll(() => page.locator('.unsent-entry').count()).toBe(0);
  expect(said).toEqual([]);
  await context.close();
});

test('opened afresh and alone, the app is the new version without being asked', async () => {
  await deploy(thisApp);
  const context = await onDesk(browser);
  const page = await context.newPage();
  await page.goto(site.url);
  await signIn(site, page, 'ruth');
  await installed(page);
  await deploy(nextApp);
  // The old one starts, finds the new one, and nobody has touched anything yet.
  await page.goto(`${site.url}/board`);
  await page.waitForFunction(() => document.documentElement.dataset['version'] === 'next');
  await page.getByRole('heading', { name: 'Jobs' }).first().waitFor();
});

function commandsOf(body: string | undefined): unknown {
  return (JSON.parse(body ?? '{}') as { commands?: unknown }).commands;
}
