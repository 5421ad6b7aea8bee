import type { Browser, BrowserContext } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { held, radioOff } from './device.ts';
import { installed, onPhone, type Site, signIn, startBrowser, startSite } from './site.ts';
import { start } from './start.ts';

/*
 * How long a phone takes to have a large job: until the service's answer is there, until its state is in the device's database,
 * and until the job's board is drawn from it. The first pull is the answer, and its goal is held, by the best of three phones;
 * the rest is the phone's own work, which a machine that does something else multiplies, and is held to a wide bound. Then how
 * soon the board is there when the app is opened on it again: on what the device kept of it, and where nothing is kept and the
 * rules would take seconds, on what the service makes of it beside them.
 */
const entries = 20_000;
const phones = 3;
const goal = 1_000;
const drawnLimit = 20 * goal;
// A board is to be there within half a second, and within one where the service makes it; the limits are for a machine with
// other work, and for the middle of several openings.
const boardGoal = 500;
const besideGoal = 1_000;
const slack = 4;

let site: Site;
let browser: Browser;

beforeAll(async () => {
  [site, browser] = await Promise.all([startSite(), startBrowser()]);
});

afterAll(async () => {
  await browser?.close();
  await site?.stop();
});

test('a job of twenty thousand entries is whole on a phone that never had it', async () => {
  const pulls: { fetched: number; kept: number; drawn: number }[] = [];
  let boards: number[] = [];
  const beside: number[] = [];
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
    if (n === phones - 1) {
      await installed(page);
      await page.close();
      // Put away as soon as the job was there: the rules had made nothing of it yet.
      boards = await openings(context, `/board/jobs/${job}`, 6);
      for (let more = 0; more < 3; more += 1) {
        await dropViews(context);
        beside.push(...(await openings(context, `/board/jobs/${job}`, 1)));
      }
      await waitsForRules(context, `/board/jobs/${job}`);
    }
    await context.close();
  }
  pulls.sort((a, b) => a.fetched - b.fetched);
  const said = pulls.map(({ fetched, kept, drawn }) => [fetched, kept, drawn].map((ms) => ms.toFixed(0)).join('/'));
  console.log(`first pull of ${entries} entries: answered/on the device/drawn after ${said.join(', ')} ms; goal ${goal} ms for the answer`);
  expect(pulls[0]?.fetched).toBeLessThan(goal);
  expect(pulls[0]?.drawn).toBeLessThan(drawnLimit);
  const [afterPull, ...later] = boards;
  console.log(
    `its board of 300 items: drawn ${ms([afterPull ?? Number.NaN])} ms after the first opening, ${ms(later)} ms after later ones, goal ${boardGoal} ms; ` +
      `with none kept, from the service beside the rules, ${ms(beside)} ms, goal ${besideGoal} ms`,
  );
  // One opening alone: it has no middle.
  expect(afterPull).toBeLessThan(slack * besideGoal);
  expect(middle(later)).toBeLessThan(slack * boardGoal);
  expect(middle(beside)).toBeLessThan(slack * besideGoal);
});

const ms = (all: readonly number[]) => all.map((each) => each.toFixed(0)).join(', ');

function middle(all: readonly number[]): number {
  return [...all].sort((a, b) => a - b)[all.length >> 1] ?? Number.NaN;
}

/** When the board stood, its first rooms with their poles, counted from the navigation, each time in a page of its own. */
async function openings(context: BrowserContext, path: string, times: number): Promise<number[]> {
  const stood: number[] = [];
  for (let n = 0; n < times; n += 1) {
    const page = await context.newPage();
    stood.push((await start(page, site.url + path, '.house .post')).usable);
    await page.close();
  }
  return stood;
}

/** The device has the jobs, and no view of them: as after a new version, or when the house rules were changed. */
async function dropViews(context: BrowserContext): Promise<void> {
  const page = await context.newPage();
  await page.goto(`${site.url}/icon.svg`);
  await page.evaluate(
    () =>
      new Promise<void>((resolve, reject) => {
        const opening = indexedDB.open('longpoint');
        opening.onerror = () => reject(opening.error);
        opening.onsuccess = () => {
          const change = opening.result.transaction('views', 'readwrite');
          change.objectStore('views').clear();
          change.oncomplete = () => resolve(opening.result.close());
          change.onerror = () => reject(change.error);
        };
      }),
  );
  await page.close();
}

/** Without a signal and without a view the board says that it is coming, and comes from the rules. */
async function waitsForRules(context: BrowserContext, path: string): Promise<void> {
  await dropViews(context);
  const radioOn = await radioOff(context);
  const page = await context.newPage();
  await page.goto(site.url + path);
  await page.getByText('Fetching the house').waitFor();
  await page.locator('.house .post').first().waitFor({ timeout: 60_000 });
  await radioOn();
}
