import type { Page } from 'playwright-core';
import { picture } from './site.ts';

/* How long an opening takes, without the driver's own work in it. */

export interface Start {
  /** Until the page's first bytes are there: the service worker's own start. */
  readonly page: number;
  readonly paint: number;
  /** Until the screen can be worked on. */
  readonly usable: number;
}

/** Runs in the page. */
function standing(selector: string): void {
  const seen = () => {
    if (document.querySelector(selector) === null) return requestAnimationFrame(seen);
    // The frame that shows it has been drawn when the one after it begins.
    return requestAnimationFrame(() => {
      performance.mark('usable');
      (globalThis as unknown as { tellUsable(what: string): void }).tellUsable('');
    });
  };
  requestAnimationFrame(seen);
}

/** Opens an address in a fresh page and answers when the frame was drawn that has what makes it usable. */
export async function start(page: Page, address: string, usable: string, slower = 1): Promise<Start> {
  const devtools = await page.context().newCDPSession(page);
  // The page tells when it stands. Asked from here it would have to load the driver's own code first, which takes a slowed
  // processor as long as a fifth of the start.
  await devtools.send('Page.enable');
  await devtools.send('Runtime.enable');
  await devtools.send('Runtime.addBinding', { name: 'tellUsable' });
  await devtools.send('Page.addScriptToEvaluateOnNewDocument', { source: `(${standing})(${JSON.stringify(usable)})` });
  if (slower > 1) await devtools.send('Emulation.setCPUThrottlingRate', { rate: slower });
  const told = new Promise((stands) => devtools.once('Runtime.bindingCalled', stands));
  await devtools.send('Page.navigate', { url: address });
  const late = new Promise((_, tooLate) => setTimeout(() => tooLate(new Error(`nothing to work on at ${address}`)), 30_000));
  await Promise.race([told, late]).catch(async (cause) => {
    await picture(page, 'start');
    throw cause;
  });
  return await page.evaluate(() => {
    const [navigation] = performance.getEntriesByType('navigation') as PerformanceNavigationTiming[];
    const at = (name: string) => performance.getEntriesByName(name)[0]?.startTime ?? Number.NaN;
    return { page: navigation?.responseStart ?? 0, paint: at('first-contentful-paint'), usable: at('usable') };
  });
}
