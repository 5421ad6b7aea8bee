import type { Browser, BrowserContext } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { held } from './device.ts';
import { onPhone, type Site, signIn, startBrowser, startSite } from './site.ts';

/*
 * How long a phone takes to have a large job: until the service's answer is there, until its state is in the device's database,
 * and until the job's board is drawn from it. The first pull is the answer, and its goal is held, by the best of three phones;
 * the rest is the phone's own work, which a machine that does something else multiplies, and is held to a wide bound.
 */
const entries = 10_000;
const phones = 3;
const goal = 1_000;
const drawnLimit = 20 * goal;
// A board is to be there within half a second; the limit is for a machine with other work.
const boardGoal = 500;
const boardLimit = 6 * boardGoal;

let site: Site;
let browser: Browser;

beforeAll(async () => {
  [site, browser] = await Promise.all([startSite(), startBrowser()]);
});

afterAll(async () => {
  await browser?.close();
  await site?.stop();
});

test('a job of ten thousand entries is whole on a phone that never had it', async () => {
  const pulls: { fetched: number; kept: number; drawn: number }[] = [];
  const boards: number[] = [];
  let job = '';
  for (let n = 0; n < phones; n += 1) {
    const context = await onPhone(browser);
    const page = await context.newPage();
    await page.goto(`${site.url}/board`);
    await signIn(site, page, 'ruth');
    await page.getByRole('heading', { name: 'Jobs' }).first().waitFor();
    // The rule book is at work already, on the invented job.
    await page.getByRole('link', { name: /41 Larkspur Lane/ }).first().tap();
    await held(page);
    if (job === '') job = await site.large(entries);
    pulls.push(
      await page.evaluate(async (large) => {
        const database = await new Promise<IDBDatabase>((resolve, reject) => {
          const opening = indexedDB.open('longpoint');
          opening.onsuccess = () => resolve(opening.result);
          opening.onerror = () => reject(opening.error);
        });
        const kept = () =>
          new Promise<boolean>((resolve, reject) => {
            const asked = database.transaction('jobs').objectStore('jobs').getAllKeys();
            asked.onsuccess = () => resolve(asked.result.some((key) => (key as string[])[1] === large));
            asked.onerror = () => reject(asked.error);
          });
        const frame = () => new Promise((done) => requestAnimationFrame(done));
        const began = performance.now();
        history.pushState(null, '', `/board/jobs/${large}`);
        dispatchEvent(new PopStateEvent('popstate'));
        while (!(await kept())) await frame();
        const there = performance.now() - began;
        while (document.querySelector('.house') === null) await frame();
        const drawn = performance.now() - began;
        database.close();
        const [answer] = performance
          .getEntriesByType('resource')
          .filter(({ name }) => name.includes(`/jobs/${large}/state`)) as PerformanceResourceTiming[];
        return { fetched: answer?.duration ?? Number.NaN, kept: there, drawn };
      }, job),
    );
    // Once it is there, the board opens from the device's own copy.
    if (n === phones - 1) boards.push(...(await openings(context, `${site.url}/board/jobs/${job}`)));
    await context.close();
  }
  pulls.sort((a, b) => a.fetched - b.fetched);
  const said = pulls.map(({ fetched, kept, drawn }) => [fetched, kept, drawn].map((ms) => ms.toFixed(0)).join('/'));
  console.log(`first pull of ${entries} entries: answered/on the device/drawn after ${said.join(', ')} ms; goal ${goal} ms for the answer`);
  expect(pulls[0]?.fetched).toBeLessThan(goal);
  expect(pulls[0]?.drawn).toBeLessThan(drawnLimit);
  boards.sort((a, b) => a - b);
  const middle = boards[boards.length >> 1] ?? Number.NaN;
  console.log(`its board of 300 items from the device's own copy: drawn after ${boards.map((ms) => ms.toFixed(0)).join(', ')} ms; goal ${boardGoal} ms`);
  expect(middle).toBeLessThan(boardLimit);
});

/** When the board stood, its first rooms with their poles, counted from the navigation, each time in a page of its own. */
async function openings(context: BrowserContext, board: string): Promise<number[]> {
  const stood: number[] = [];
  for (let n = 0; n < 5; n += 1) {
    const page = await context.newPage();
    await page.addInitScript(() => {
      const seen = (): unknown =>
        document.querySelector('.house .post') === null
          ? requestAnimationFrame(seen)
          : requestAnimationFrame(() => performance.mark('stood'));
      requestAnimationFrame(seen);
    });
    await page.goto(board);
    await page.waitForFunction(() => performance.getEntriesByName('stood').length > 0);
    stood.push(await page.evaluate(() => performance.getEntriesByName('stood')[0]?.startTime ?? Number.NaN));
    await page.close();
  }
  return stood;
}
