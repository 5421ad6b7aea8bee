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

/** How many rows a store of the device's database has. */
export function rows(page: Page, store: string): Promise<number> {
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

/** The signal is back, and the phone is told. */
export async function hearsAgain(page: Page): Promise<void> {
  await page.evaluate(() => dispatchEvent(new Event('online')));
  await expect.poll(() => rows(page, 'outbox'), { timeout: 30_000 }).toBe(0);
}
