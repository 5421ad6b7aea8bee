import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { JobView } from '../../web/src/api/views.ts';
import { voiceOf } from './crew.ts';
import { hearsAgain, held, radioOff, rows } from './device.ts';
import { tickStage } from './door-steps.ts';
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

/** One of the crew at a phone of their own, signed in and holding their jobs. */
async function someone(name: string, context: BrowserContext): Promise<Page> {
  const page = await context.newPage();
  await page.goto(site.url);
  await signIn(site, page, name);
  await page.locator('main.home').waitFor();
  await held(page);
  return page;
}

/** Types a reading into the open item's tape. */
async function tape(page: Page, reading: string, value: string): Promise<void> {
  await page.getByRole('button', { name: /^Tape the/ }).tap();
  await page.getByRole('textbox', { name: /Type/ }).fill(value);
  await page.keyboard.press('Enter');
  await page.getByText(`Kept: ${reading}`).first().waitFor();
  await page.keyboard.press('Escape');
  await page.locator('.tape').waitFor({ state: 'detached' });
}

/** The network is away for the service alone: whether the app itself is kept is for other tests. */
async function phone(): Promise<BrowserContext> {
  const context = await onPhone(browser, { serviceWorkers: 'block' });
  context.setDefaultTimeout(60_000);
  return context;
}

const needs = (page: Page) => page.goto(`${site.url}/bench/unsent`);

test('two phones without a signal on the same openings, and a lead who changes the plan meanwhile', async () => {
  const [here, there, ruth] = await Promise.all([phone(), phone(), voiceOf(site, 'ruth')]);
  const [marco, tess] = await Promise.all([someone('marco', here), someone('tess', there)]);
  const { jobs } = await ruth.ask<{ jobs: { id: string }[] }>('/jobs');
  const job = jobs[0]?.id ?? '';
  const poles = ((await ruth.ask<JobView>(`/jobs/${job}`)).rooms ?? []).flatMap(({ items }) => items);
  const named = (name: string) => {
    const pole = poles.find((each) => each.name === name);
    if (pole === undefined) throw new Error(`the house has no ${name}`);
    return { ...pole, at: `${site.url}/bench/jobs/${job}/items/${pole.id}` };
  };
  const [linen, kitchen] = [named('Linen closet door'), named('Kitchen opening')];
  const ripe = poles.find(({ marks }) => marks.some(({ status }) => status === 'ready'));
  const stage = ripe?.marks.find(({ status }) => status === 'ready')?.stage ?? '';
  const ready = named(ripe?.name ?? '');
  const ticked = new RegExp(`^${stage}: done`, 'i');
  const said = async (item: string, sentence: RegExp) =>
    (await ruth.ask<{ entries: { sentence: string }[] }>(`/jobs/${job}/items/${item}/entries?limit=1000`)).entries.filter(
      (entry) => sentence.test(entry.sentence),
    ).length;

  // Both without a signal: the same reading, and the same tick.
  const [marcoHears, tessHears] = [await radioOff(here), await radioOff(there)];
  for (const [page, value] of [[marco, '30 1/8'], [tess, '30 1/2']] as const) {
    await page.goto(`${ready.at}/${stage}`);
    await tickStage(page, stage);
    await page.goto(linen.at);
    await tape(page, 'Width at the bottom', value);
    expect(await rows(page, 'outbox')).toBe(2);
  }

  // Marco is heard first; then Tess, whose tick is done already and whose tape says otherwise.
  await marcoHears();
  await hearsAgain(marco);
  await tessHears();
  await hearsAgain(tess);
  expect(await said(linen.id, /^Width at the bottom: /)).toBe(2);
  expect(await said(ready.id, ticked)).toBe(1);
  const apart = 'Linen closet door, width at the bottom: takes that disagree';
  await needs(marco);
  await marco.getByText(apart).waitFor();
  await needs(tess);
  await tess.getByText(/someone had ticked it before you/).waitFor();
  await tess.getByText(apart).waitFor();
  await picture(tess, 'needs-apart');
  expect(await violations(tess)).toEqual([]);
  await tess.getByRole('button', { name: /^This one: 30 1\/8/ }).tap();
  await expect.poll(() => tess.getByText(apart).count()).toBe(0);
  await tess.getByRole('button', { name: 'Seen' }).tap();
  await expect.poll(() => rows(tess, 'news')).toBe(0);
  await expect.poll(() => rows(tess, 'outbox'), { timeout: 30_000 }).toBe(0);
  // What she chose is heard where it was being asked, too.
  await expect.poll(() => marco.getByText(apart).count(), { timeout: 30_000 }).toBe(0);

  // While Tess works on without a signal, the lead gives one thing away and takes another off the job.
  const tessHearsAgain = await radioOff(there);
  await tess.goto(kitchen.at);
  await tess.getByRole('button', { name: 'Note', exact: true }).tap();
  await tess.getByLabel('Note').fill('The sill is out of level.');
  await tess.getByRole('button', { name: 'Keep the note' }).tap();
  await expect.poll(() => rows(tess, 'outbox')).toBe(1);
  const done = Date.now();
  await tess.goto(linen.at);
  await tape(tess, 'Width at the middle', '30 1/16');
  await ruth.send('assign', { job, item: kitchen.id }, { person_id: linen.assigned_to ?? '' });
  await ruth.send('remove_item', { job, item: linen.id }, { reason: 'The owner keeps the old door.' });
  // Told as something that happened meanwhile, it has to be some seconds old.
  await expect.poll(() => Date.now() - done, { timeout: 15_000 }).toBeGreaterThan(12_000);
  await tessHearsAgain();
  await hearsAgain(tess);
  await needs(tess);
  await tess.getByText(/given to Marco Delgado meanwhile/).waitFor();
  await tess.getByText('This opening was taken off the job: The owner keeps the old door.').first().waitFor();
  await picture(tess, 'needs-removed');
  expect(await violations(tess)).toEqual([]);
  expect(await said(kitchen.id, /^Note: The sill is out of level/)).toBe(1);
  await tess.getByRole('button', { name: 'Keep it as a note' }).tap();
  await expect.poll(() => said(linen.id, /^Note: Not logged: .*30 1\/16/), { timeout: 30_000 }).toBe(1);
  await expect.poll(() => tess.getByText(/was taken off the job: The owner/).count()).toBe(0);
  await tess.goto(linen.at);
  await tess.getByText('Taken off the job: The owner keeps the old door.').waitFor();
  await picture(tess, 'item-removed');
  expect(await violations(tess)).toEqual([]);
  // Marco, who was there all the time, has seen it go.
  await marco.goto(site.url);
  await marco.locator('main.home').waitFor();
  await expect.poll(() => marco.getByText('Linen closet door').count()).toBe(0);
});
