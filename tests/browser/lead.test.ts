import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { voiceOf } from './crew.ts';
import { onDesk, onPhone, picture, type Site, signIn, startBrowser, startSite, violations } from './site.ts';

let site: Site;
let browser: Browser;
let page: Page;
const errors: string[] = [];

beforeAll(async () => {
  [site, browser] = await Promise.all([startSite(), startBrowser()]);
  page = await (await onDesk(browser)).newPage();
  page.setDefaultTimeout(60_000);
  page.on('pageerror', (error) => errors.push(error.message));
  await page.goto(`${site.url}/board`);
  await signIn(site, page, 'ruth');
  await page.getByRole('link', { name: /41 Larkspur Lane/ }).first().click();
  await page.locator('.post').first().waitFor();
});

afterAll(async () => {
  expect(errors).toEqual([]);
  await browser?.close();
  await site?.stop();
});

test('a schedule with one bad row is mended, then added whole', async () => {
  await page.getByRole('link', { name: 'Set-up' }).click();
  await page.getByRole('link', { name: 'Import a schedule' }).click();
  await page
    .getByRole('textbox', { name: 'The schedule' })
    .fill('Room,Level,Mark,Width,Height\nSewing room,upper,S1,=B2,80\nSewing room,,S2,30,80\n');
  await page.getByRole('button', { name: 'Read it' }).click();
  const width = page.getByRole('textbox', { name: 'Width' });
  await page.getByText(/The width is a formula, =B2/).waitFor();
  expect(await page.getByRole('button', { name: /^Add / }).isDisabled()).toBe(true);
  expect(await violations(page)).toEqual([]);
  await picture(page, 'lead-import');
  await width.fill('28');
  await width.press('Enter');
  await page.getByText('2 openings would be added.').waitFor();
  await page.getByRole('button', { name: 'Add 2 openings' }).click();
  await page.getByText(/They are on the job: entries/).waitFor();
  await page.getByRole('link', { name: 'To the board' }).click();
  await page.locator('.post', { hasText: 'S2' }).waitFor();
});

test('a room is copied as it was set up', async () => {
  await page.getByRole('link', { name: 'Set-up' }).click();
  await page.getByRole('button', { name: 'Copy this room, Sewing room' }).click();
  await page.getByRole('textbox', { name: 'Name of the new room' }).fill('Guest room');
  await page.getByRole('button', { name: 'Make the copy' }).click();
  const copy = page.locator('.set-up-room', { has: page.getByRole('heading', { name: 'Guest room' }) });
  await copy.getByRole('link', { name: /S1/ }).waitFor();
  expect(await violations(page)).toEqual([]);
});

test('a room the company has put by is set up anew, and a trim package goes on it', async () => {
  await page.getByRole('button', { name: 'Add a unit type' }).click();
  await page.getByRole('combobox', { name: 'Which' }).selectOption({ label: 'Bedroom with a closet pair' });
  await page.getByRole('textbox', { name: 'Called' }).fill('East bedroom');
  await page.getByRole('button', { name: 'Add its rooms' }).click();
  const made = page.locator('.set-up-room', { has: page.getByRole('heading', { name: 'East bedroom' }) });
  await made.getByRole('link', { name: /Closet pair/ }).waitFor();
  await made.getByRole('button', { name: 'Lay a trim package over it, East bedroom' }).click();
  await made.getByRole('combobox', { name: 'Which' }).selectOption({ label: 'Square casing, base and shoe' });
  await made.getByRole('button', { name: 'Lay it over' }).click();
  await made.getByText(/^Done: entries/).waitFor();
  expect(await violations(page)).toEqual([]);
});

test('a pole is given to somebody from the keyboard alone', async () => {
  await page.keyboard.press('b');
  await page.locator('.post', { hasText: 'S1' }).first().focus();
  await page.keyboard.press('g');
  await page.locator('.give-name:focus').waitFor();
  const name = await page.locator('.give-name:focus').textContent();
  await page.keyboard.press('Enter');
  await page.locator('.give-name[aria-pressed="true"]', { hasText: name ?? '' }).waitFor();
  expect(page.url()).toContain('#item-');
  await page.keyboard.press('?');
  await page.getByRole('checkbox', { name: /Single keys/ }).uncheck();
  await page.keyboard.press('Escape');
  await page.keyboard.press('l');
  expect(page.url()).toContain('#item-'); // the key does nothing now
  await page.getByRole('button', { name: 'Keys' }).click();
  await page.getByRole('checkbox', { name: /Single keys/ }).check();
  expect(await violations(page)).toEqual([]);
  await page.keyboard.press('Escape');
});

test('a room dropped on a name is theirs', async () => {
  await page.keyboard.press('Escape');
  const room = page.locator('.room-name', { hasText: 'Guest room' });
  const person = page.locator('.crew-person', { hasText: 'Marco' });
  await room.dragTo(person);
  await room.locator('.room-person', { hasText: 'Marco Delgado' }).waitFor();
  await page.locator('.board-filter select').first().selectOption({ label: 'Marco Delgado' });
  await picture(page, 'lead-board');
  expect(await violations(page)).toEqual([]);
});

test('the log is filtered, followed to its item, and handed out', async () => {
  await page.keyboard.press('l');
  await page.locator('.log-filters select').nth(1).selectOption({ label: 'Guest room' });
  await page.getByText(/^Room added: Guest room/).waitFor();
  await page.waitForFunction(() => document.querySelectorAll('.entry').length < 12);
  expect(await violations(page)).toEqual([]);
  await picture(page, 'lead-log');
  const [file] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('link', { name: 'As a table (CSV)' }).click(),
  ]);
  const path = await file.path();
  const { readFileSync } = await import('node:fs');
  const text = readFileSync(path, 'utf8');
  expect(text.split('\n')[0]).toContain('seq,did_at');
  expect(text).toContain('Guest room');
  expect(text).not.toContain('Garage door');
  await page.locator('.entry-who a', { hasText: 'S1' }).first().click();
  await page.getByRole('heading', { name: /S1/ }).first().waitFor();
});

test('a slash finds things in every job', async () => {
  await page.keyboard.press('/');
  await page.keyboard.type('sewing');
  await page.locator('.search-hit', { hasText: 'Sewing' }).first().waitFor();
  expect(await violations(page)).toEqual([]);
  await page.keyboard.press('ArrowDown');
  await page.keyboard.press('Enter');
  await page.locator('.chosen-title', { hasText: /Sewing room|S1|S2/ }).waitFor();
});

test('when it will be done is drawn with what it rests on, and moves with the log', async () => {
  await page.keyboard.press('Escape');
  await page.keyboard.press('b');
  await page.getByRole('link', { name: 'When it will be done' }).click();
  await page.getByRole('img', { name: /half by .+, four in five by .+/ }).waitFor();
  await page.getByText(/The work left was played \d[\d,]* times/).waitFor();
  await page.getByText(/an assumption from common practice/).waitFor();
  const date = (word: string) =>
    page.locator('.forecast-dates div', { hasText: word }).locator('dd').textContent();
  const left = page.getByText(/^\d+ stages on \d+ items are left/);
  const [items, likely] = [await left.textContent(), await date('Four in five')];
  expect(await violations(page)).toEqual([]);
  await picture(page, 'lead-forecast');

  // One day of work a week: the same work is done weeks later.
  for (const day of ['Mon', 'Tue', 'Wed', 'Thu']) {
    await page.getByRole('button', { name: day, exact: true }).click();
  }
  await expect.poll(() => date('Four in five')).not.toBe(likely);
  for (const day of ['Mon', 'Tue', 'Wed', 'Thu']) {
    await page.getByRole('button', { name: day, exact: true }).click();
  }
  await expect.poll(() => date('Four in five')).toBe(likely);

  // Somebody takes an opening off the job: the forecast is another without a touch here.
  const [, job] = /jobs\/([0-9a-f-]+)/.exec(page.url()) ?? [];
  const ruth = await voiceOf(site, 'ruth');
  const house = await ruth.ask<{ rooms: { items: { id: string; name: string }[] }[] }>(`/jobs/${job}`);
  const off = house.rooms.flatMap((room) => room.items).find(({ name }) => name.includes('S2'));
  await ruth.send('remove_item', { job: job ?? '', item: off?.id ?? '' }, { reason: 'Left as it is.' });
  await expect.poll(() => left.textContent()).not.toBe(items);
});

test('a thumb gives a pole to somebody', async () => {
  const context = await onPhone(browser);
  const phone = await context.newPage();
  await phone.goto(`${site.url}/board`);
  await signIn(site, phone, 'ruth');
  await phone.getByRole('link', { name: /41 Larkspur Lane/ }).first().tap();
  await phone.locator('.post', { hasText: 'S1' }).first().tap();
  const tess = phone.locator('.give-name', { hasText: 'Tess Okafor' });
  await tess.tap();
  await phone.locator('.give-name[aria-pressed="true"]', { hasText: 'Tess Okafor' }).waitFor();
  const [, job] = /jobs\/([0-9a-f-]+)/.exec(phone.url()) ?? [];
  const ruth = await voiceOf(site, 'ruth');
  const person = (await ruth.ask<{ people: { id: string; name: string }[] }>('/people')).people.find(({ name }) => name === 'Tess Okafor');
  const whose = async () => {
    const house = await ruth.ask<{ rooms: { items: { name: string; assigned_to?: string }[] }[] }>(`/jobs/${job}`);
    return house.rooms.flatMap((room) => room.items).filter(({ assigned_to }) => assigned_to === person?.id).map(({ name }) => name);
  };
  await expect.poll(async () => (await whose()).some((name) => name.includes('S1'))).toBe(true);
  await context.close();
});

test('by touch the lead says what air passes under a door and what its casing is of, and the rules answer', async () => {
  const context = await onPhone(browser);
  const phone = await context.newPage();
  phone.setDefaultTimeout(60_000);
  await phone.goto(`${site.url}/board`);
  await signIn(site, phone, 'ruth');
  await phone.getByRole('link', { name: /41 Larkspur Lane/ }).first().tap();
  await phone.locator('.post', { hasText: 'Back hall door' }).first().tap();
  await phone.getByRole('link', { name: 'What goes in' }).tap();
  await phone.getByRole('button', { name: 'Core, jambs, casing, labels' }).tap();
  const air = phone.getByRole('textbox', { name: /^Return air under the slab/ });
  await air.tap();
  await phone.keyboard.type('5000');
  await phone.getByText('Whole square inches, up to 1000.').waitFor();
  await air.fill('60');
  await phone.getByText('Whole square inches, up to 1000.').waitFor({ state: 'detached' });
  // Both faces: where one is not said, the class goes by the storey.
  for (const face of ['A', 'B']) {
    const casing = phone.getByRole('group', { name: `Casing on face ${face}` });
    await casing.getByRole('radio', { name: 'Wood' }).tap();
    await casing.getByRole('button', { name: 'Cherry', exact: true }).tap();
    await casing.getByRole('radio', { name: 'Quarter' }).tap();
  }
  await picture(phone, 'lead-casing-wood');
  expect(await violations(phone)).toEqual([]);
  const [, job, item] = /jobs\/([0-9a-f-]+)\/items\/([0-9a-f-]+)/.exec(phone.url()) ?? [];
  await phone.getByRole('button', { name: 'Save what goes in' }).tap();
  await phone.locator('.post').first().waitFor();

  // 3/8 at the hinge, 7/16 at the strike, under 28 in of slab: 13/32 × 28 = 11.4.
  await phone.goto(`${site.url}/bench/jobs/${job}/items/${item}/trimmed`);
  await phone.getByText(/leaves 11\.4 in² for return air; 60 in² are wanted/).first().waitFor();
  // What class of caulk the joint wants, by the wood and the house's air.
  await phone.goto(`${site.url}/bench/jobs/${job}/items/${item}/caulked`);
  await phone.getByText(/^Wants a caulk of class .*cherry moves/).first().waitFor();
  await picture(phone, 'door-caulk-need');

  // Every rule says who set it.
  const ruth = await voiceOf(site, 'ruth');
  await ruth.send('set_rules', { job: job ?? '', item: item ?? '' }, { set: { hinge_down: 152_400_000 } });
  await phone.goto(`${site.url}/bench/jobs/${job}/items/${item}`);
  await phone.getByRole('button', { name: 'House rules' }).tap();
  await phone.locator('.rules tr.rule-set', { hasText: 'this item' }).first().waitFor();
  await phone.locator('.rules tr', { hasText: 'built in' }).first().waitFor();
  await context.close();
});
