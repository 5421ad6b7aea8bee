import type { Page } from 'playwright-core';
import { picture } from './site.ts';

/* How long an opening takes, without the driver's own work in it. */

export interface Start {
  /** Until the page's first bytes are there: the service worker's own start. */
  readonly page: number;
  readonly paint: number;
  /** Until the screen can be worked on. */
  readonly usable: number;
  /** What the processor took for a fixed piece of work right after, not slowed, in milliseconds. */
  readonly work: number;
}

/**
 * What `work` is where Lighthouse's BenchmarkIndex is 1500: its documentation (docs/throttling.md) begins there the class of
 * machines that slowing four times makes a middling phone of. Measured with both in one browser at rates 1 to 4: 23.5 to 33 ms.
 */
export const workOfItsClass = 25;

/** Runs in the page. The middle of five, as the first ones are still being compiled. */
function fixedWork(): number {
  const times = Array.from({ length: 5 }, () => {
    const begun = performance.now();
    let seed = 1;
    const rows = Array.from({ length: 40_000 }, () => {
      seed = (seed * 48_271) % 2_147_483_647;
      return seed;
    });
    rows.sort((a, b) => a - b);
    if (JSON.parse(JSON.stringify(rows)).length !== rows.length) throw new Error('the work was not done');
    return performance.now() - begun;
  });
  return times.sort((a, b) => a - b)[2] ?? Number.NaN;
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
  const times = await page.evaluate(async () => {
    // The browser notes its first paint a moment after the frame.
    await new Promise((painted) => new PerformanceObserver(painted).observe({ type: 'paint', buffered: true }));
    const [navigation] = performance.getEntriesByType('navigation') as PerformanceNavigationTiming[];
    const at = (name: string) => performance.getEntriesByName(name)[0]?.startTime ?? Number.NaN;
    return { page: navigation?.responseStart ?? 0, paint: at('first-contentful-paint'), usable: at('usable') };
  });
  if (slower > 1) await devtools.send('Emulation.setCPUThrottlingRate', { rate: 1 });
  return { ...times, work: await page.evaluate(fixedWork) };
}
