import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { ItemView, JobView } from '../../web/src/api/views.ts';
import { type Voice, voiceOf } from './crew.ts';
import { battery, held, keys, photograph, rows, stopHalfWritten } from './device.ts';
import { tapeAll, tapeToNails, tickStage } from './door-steps.ts';
import { installed, picture, type Site, signIn, startPhone, startSite, violations } from './site.ts';

let site: Site;
let profile: string;
let phone: BrowserContext | undefined;

beforeAll(async () => {
  site = await startSite();
  profile = await mkdtemp(join(tmpdir(), 'longpoint-phone-'));
});

afterAll(async () => {
  await phone?.close();
  await site?.stop();
  await rm(profile, { recursive: true, force: true, maxRetries: 5 });
});

const first = 'Linen closet door';
const more = ['Nursery door', 'Bath door'] as const;

/** The lead gives Marco two more openings like the linen closet's. Answers the job. */
async function twoMore(ruth: Voice): Promise<string> {
  const [{ id: job } = { id: '' }] = (await ruth.ask<{ jobs: { id: string }[] }>('/jobs')).jobs;
  const { rooms } = await ruth.ask<JobView>(`/jobs/${job}`);
  const linen = rooms?.flatMap(({ items }) => items).find(({ name }) => name === first);
  if (linen === undefined) throw new Error(`the house has no ${first}`);
  const { spec } = await ruth.ask<ItemView>(`/jobs/${job}/items/${linen.id}`);
  for (const name of more) {
    const item = crypto.randomUUID().replace(/^(.{14})./, '$17');
    await ruth.send('add_item', { job, room: linen.room_id, item }, { ...spec, name });
  }
  return job;
}

async function toItem(page: Page, name: string): Promise<string> {
  await page.locator('.next-line', { hasText: name }).tap();
  await page.locator('.item').waitFor();
  return new URL(page.url()).pathname.replace(/(items\/[^/]+).*/, '$1');
}

test('a day without a signal: three openings, nails, photos, a reload, the battery out; then it arrives, once', async () => {
  const ruth = await voiceOf(site, 'ruth');
  const job = await twoMore(ruth);
  const errors: string[] = [];
  phone = await startPhone(profile);
  let page = await phone.newPage();
  page.on('pageerror', (error) => errors.push(error.message));
  await page.goto(site.url);
  await signIn(site, page, 'marco');
  await page.locator('.next-line', { hasText: more[1] }).waitFor();
  await held(page);
  await installed(page);
  const before = (await ruth.ask<{ seq: number }>(`/jobs/${job}/entries?limit=1`)).seq;

  const bar = page.locator('.topbar');
  const tall = () => bar.evaluate((header: HTMLElement) => header.offsetHeight);
  const quiet = await tall();

  await phone.setOffline(true);
  const linen = await toItem(page, first);
  await tapeToNails(page);
  for (const [color, caption] of [['red', 'The head, from below.'], ['blue', 'The shim at the strike.']] as const) {
    await page.getByLabel('Take a photo').setInputFiles(await photograph(page, color));
    const sheet = page.getByRole('dialog', { name: 'New photo' });
    await sheet.getByLabel('What it shows').fill(caption);
    await sheet.getByRole('button', { name: 'Keep it in the log' }).tap();
    await page.getByAltText(caption).waitFor();
  }
  await expect.poll(() => page.getByText('Waiting to be sent').count()).toBe(2);
  await picture(page, 'basement');
  expect(await violations(page)).toEqual([]);
  await page.goto(`${site.url}/bench`);
  // Whatever the sign says, what is below it stays under the thumb.
  await bar.getByText(/\d+ waiting/).waitFor();
  expect(await tall()).toBe(quiet);
  await toItem(page, more[0]);
  await tapeAll(page);
  await tickStage(page, 'measured');
  await page.goto(`${site.url}/bench`);
  const bath = await toItem(page, more[1]);
  await tapeAll(page);

  // Opened again without a signal: all of it is there.
  const waiting = (await keys(page, 'outbox')) ?? [];
  expect(waiting.length).toBeGreaterThan(40);
  await page.reload();
  const foot = page.locator('.item-bar');
  await expect.poll(() => foot.innerText()).toMatch(/measured[\s\S]*ready/i);
  expect(await keys(page, 'outbox')).toEqual(waiting);

  // The battery goes between asking for the tick to be written and its being written.
  const out = await battery(phone);
  const halfWritten = await stopHalfWritten(page);
  void foot.getByRole('button', { name: /tick as done/ }).tap().catch(() => undefined);
  await halfWritten();
  const signedIn = await phone.cookies();
  await out();

  // What was never called kept is not there, and all that was called so is; then it is done again.
  phone = await startPhone(profile);
  // Chromium writes cookies to the disk within half a minute; a quick test signs in later than that.
  await phone.addCookies(signedIn);
  page = await phone.newPage();
  page.on('pageerror', (error) => errors.push(error.message));
  await phone.setOffline(true);
  await page.goto(site.url + bath);
  await expect.poll(() => page.locator('.item-bar').innerText()).toMatch(/measured[\s\S]*ready/i);
  expect(await keys(page, 'outbox')).toEqual(waiting);
  await tickStage(page, 'measured');
  const all = (await keys(page, 'outbox')) ?? [];
  expect(all).toHaveLength(waiting.length + 1);
  expect((await keys(page, 'photos', 'longpoint-photos'))?.length).toBe(2);

  await phone.setOffline(false);
  await expect.poll(() => rows(page, 'outbox'), { timeout: 60_000 }).toBe(0);
  const { entries } = await ruth.ask<{ entries: { command: { id: string } }[] }>(`/jobs/${job}/log?after=${before}&limit=1000`);
  // Everything is in the log exactly once, and nothing else is.
  expect(entries.map(({ command }) => command.id).sort()).toEqual([...all].sort());
  const view = await ruth.ask<ItemView>(`/jobs/${linen.replace('/bench/jobs/', '')}`);
  expect(view.stages.slice(0, 5).map(({ stage, status }) => `${stage} ${status}`)).toEqual(
    ['measured', 'trimmed', 'hung', 'cased', 'nailed'].map((stage) => `${stage} done`),
  );
  const sent = async () =>
    (await ruth.ask<{ photos: { item_id: string; state: string }[] }>(`/jobs/${job}/photos`)).photos.filter(
      ({ item_id, state }) => linen.endsWith(item_id) && state === 'stored',
    ).length;
  await expect.poll(sent, { timeout: 60_000 }).toBe(2);
  expect(errors).toEqual([]);
});
