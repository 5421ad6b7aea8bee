import type { BrowserContext, Page } from 'playwright-core';
import { expect } from 'vitest';

/** The service cannot be reached, though the app's files can: the radio is off for what matters here. */
export async function radioOff(context: BrowserContext): Promise<() => Promise<void>> {
  await context.route('**/api/**', (route) => route.abort());
  return () => context.unroute('**/api/**');
}

/** Waits until the device holds the person's jobs itself. */
export async function held(page: Page): Promise<void> {
  await expect.poll(() => rows(page, 'jobs'), { timeout: 60_000 }).toBeGreaterThan(0);
}

/**
 * Waits until what was entered here has come back in the log. Until then the phone tells when it was done by what it last heard of
 * the service's clock: a test that moves that clock would have it done hours later.
 */
export async function settled(page: Page): Promise<void> {
  await expect.poll(() => rows(page, 'outbox'), { timeout: 30_000 }).toBe(0);
}

/** How many rows a store of the device's database has. */
export async function rows(page: Page, store: string): Promise<number> {
  return (await keys(page, store))?.length ?? -1;
}

/** The ids under which a store of the device's database keeps its rows; null where it is not there. */
export function keys(page: Page, store: string, database = 'longpoint'): Promise<string[] | null> {
  return page.evaluate(
    ([from, name]) =>
      new Promise<string[] | null>((resolve) => {
        const opening = indexedDB.open(from ?? '');
        opening.onsuccess = () => {
          const db = opening.result;
          if (!db.objectStoreNames.contains(name ?? '')) return resolve(null);
          const found = db.transaction(name ?? '').objectStore(name ?? '').getAllKeys();
          found.onsuccess = () => {
            db.close();
            resolve(found.result.map(String));
          };
        };
      }),
    [database, store],
  );
}

/** A photo that a camera might take: one color, so that two can be told apart. */
export async function photograph(page: Page, color: string): Promise<{ name: string; mimeType: string; buffer: Buffer }> {
  const bytes = await page.evaluate(async (fill) => {
    const canvas = new OffscreenCanvas(1200, 900);
    const pen = canvas.getContext('2d');
    if (pen === null) throw new Error('no canvas');
    pen.fillStyle = fill;
    pen.fillRect(0, 0, 1200, 900);
    return [...new Uint8Array(await (await canvas.convertToBlob({ type: 'image/jpeg' })).arrayBuffer())];
  }, color);
  return { name: `${color}.jpg`, mimeType: 'image/jpeg', buffer: Buffer.from(bytes) };
}

/** The battery falls out: the browser's own process is killed where it stands. */
export async function battery(context: BrowserContext): Promise<() => Promise<void>> {
  const browser = context.browser();
  if (browser === null) throw new Error('no browser of its own');
  const devtools = await browser.newBrowserCDPSession();
  const { processInfo } = await devtools.send('SystemInfo.getProcessInfo');
  const pid = processInfo.find(({ type }) => type === 'browser')?.id;
  if (pid === undefined) throw new Error('no process');
  return async () => {
    const gone = new Promise((resolve) => context.once('close', resolve));
    process.kill(pid, 'SIGKILL');
    await gone;
  };
}

/**
 * From now on the page stands still the moment it has asked for a command to be written. What is
 * answered waits for that moment.
 */
export async function stopHalfWritten(page: Page): Promise<() => Promise<void>> {
  let standsStill = () => {};
  const moment = new Promise<void>((resolve) => (standsStill = resolve));
  await page.route('**/half-written', () => standsStill());
  await page.evaluate(() => {
    const put = IDBObjectStore.prototype.put;
    IDBObjectStore.prototype.put = function (...args) {
      const asked = put.apply(this, args);
      if (this.name === 'outbox') {
        // Never answered: the write cannot be carried through while the page waits here.
        const still = new XMLHttpRequest();
        still.open('GET', '/api/half-written', false);
        still.send();
      }
      return asked;
    };
  });
  return () => moment;
}

/** The signal is back, and the phone is told. */
export async function hearsAgain(page: Page): Promise<void> {
  await page.evaluate(() => dispatchEvent(new Event('online')));
  await expect.poll(() => rows(page, 'outbox'), { timeout: 30_000 }).toBe(0);
}
