import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { logNails, tickStage } from './door-steps.ts';
import { onDesk, onPhone, picture, type Site, signIn, startBrowser, startSite, violations } from './site.ts';

let site: Site;
let browser: Browser;

beforeAll(async () => {
  [site, browser] = await Promise.all([startSite(), startBrowser()]);
});

afterAll(async () => {
  await browser?.close();
  await site?.stop();
});

/** Types what a laser would send. */
async function type(page: Page, text: string): Promise<void> {
  await page.getByRole('textbox', { name: /Type/ }).fill(text);
  await page.keyboard.press('Enter');
}

/** A dimension of the drawing, opened from the keyboard as a screen reader's person does. */
async function open(page: Page, name: RegExp): Promise<void> {
  await page.locator('.drawing').getByRole('button', { name }).first().focus();
  await page.keyboard.press('Enter');
}

test('a run from its last wall to its nails', async () => {
  const page = await (await onPhone(browser)).newPage();
  page.setDefaultTimeout(60_000);
  const errors: string[] = [];
  page.on('pageerror', (error) => errors.push(error.message));
  await page.goto(site.url);
  await signIn(site, page, 'marco');
  await page.locator('.next-line', { hasText: 'Landing base' }).tap();
  await page.locator('.item').waitFor();

  // The wall still to tape is the one the plan points to.
  await page.getByRole('button', { name: /^Tape the length of wall 3/ }).tap();
  await type(page, '22');
  if ((await page.locator('.tape').count()) > 0) await page.keyboard.press('Escape');
  await page.getByText('Every reading is in.').first().waitFor();
  await picture(page, 'run-plan');
  expect(await violations(page)).toEqual([]);

  // A stretch taped directly stands beside the one worked out; 3/8 apart holds the run.
  await open(page, /^stretch 1 of wall 1/i);
  await type(page, '64 3/4');
  await page.getByText(/Wall 1, stretch 1 tapes/).first().waitFor();
  await open(page, /^stretch 1 of wall 1/i);
  await type(page, '64 3/8');
  await page.getByText(/takes of .* apart/).first().waitFor();
  if ((await page.locator('.tape').count()) > 0) await page.keyboard.press('Escape');
  await page.locator('.tape').waitFor({ state: 'detached' });
  await open(page, /^stretch 1 of wall 1/i);
  await page.getByRole('button', { name: /64 3\/8$/ }).first().tap();
  await tickStage(page, 'measured');

  // The pieces lie on the plan; a corner opens to its section.
  await page.locator('.run-plan').waitFor();
  await open(page, /^corner 3/i);
  await page.getByText('outside miter').first().waitFor();
  await picture(page, 'run-corner');
  expect(await violations(page)).toEqual([]);
  await page.locator('dialog').getByRole('button', { name: 'Close' }).last().tap();
  // Half of a corner's turn: 135° round it is 22.5° on the saw (common practice).
  await page.getByText(/miter 22.5°/).first().waitFor();
  await page.getByRole('button', { name: /All \d+ cut/ }).tap();
  await picture(page, 'run-cut');
  await tickStage(page, 'trimmed');

  await page.getByText(/By its studs this run takes/).waitFor();
  await logNails(page, '15 gauge', '2 1/2', 'Stud');
  await tickStage(page, 'nailed');
  expect(errors).toEqual([]);
});

test('the lead walks a room and runs base round it', async () => {
  const page = await (await onDesk(browser)).newPage();
  page.setDefaultTimeout(60_000);
  const errors: string[] = [];
  page.on('pageerror', (error) => errors.push(error.message));
  await page.goto(`${site.url}/board`);
  await signIn(site, page, 'ruth');
  await page.getByRole('link', { name: /41 Larkspur Lane/ }).first().click();
  await page.getByRole('link', { name: 'Set-up' }).click();
  await page.getByLabel('Name of the room').fill('Study');
  await page.getByRole('button', { name: 'Add the room' }).click();
  await page.getByRole('link', { name: /Lay out the walls Study/ }).click();

  await page.getByRole('button', { name: 'Tape the first wall' }).click();
  await type(page, "12'");
  for (const length of ["10'", "12'", '118']) {
    await page.getByRole('button', { name: 'Next wall' }).click();
    await type(page, length);
  }
  // 2 in short of closing, where 1/2 + 526/500 is allowed.
  await page.getByText(/lies 2 from where it began/).waitFor();
  await picture(page, 'walls-open');
  await page.getByRole('button', { name: /^Wall 4/ }).click();
  await page.getByRole('button', { name: /^Length/ }).click();
  await type(page, "10'");
  await page.getByText(/528 all round. The walk closes./).waitFor();
  expect(await violations(page)).toEqual([]);
  await page.getByRole('button', { name: 'Keep the walls' }).click();

  await page.getByRole('link', { name: /Add a run Study/ }).click();
  await page.getByText(/wall 1, piece 1/).first().waitFor();
  // Two long walls run full and are sprung; 144 + 1/16.
  await page.getByText('144 1/16').first().waitFor();
  await picture(page, 'run-form');
  expect(await violations(page)).toEqual([]);

  // Along two walls alone: the corner between them is made as chosen, the far ends die into bare walls.
  await page.getByRole('button', { name: 'Wall 2', exact: true }).click();
  await page.getByRole('button', { name: 'Wall 3', exact: true }).click();
  await page.getByText('144 1/16').first().waitFor();
  const pieces = page.getByRole('list', { name: 'Pieces' }).getByRole('listitem');
  await expect.poll(() => pieces.allInnerTexts()).toHaveLength(2);
  await open(page, /^corner 2/i);
  const corner = page.locator('dialog');
  await corner.getByText('coped').first().waitFor();
  await corner.getByRole('radio', { name: 'Miter' }).click();
  await corner.getByText('inside miter').first().waitFor();
  expect(await violations(page)).toEqual([]);
  await picture(page, 'run-form-corner');
  await page.keyboard.press('Escape');
  await expect.poll(() => pieces.allInnerTexts()).toEqual([expect.stringMatching(/miter 45°/), expect.stringMatching(/miter 45°/)]);
  await picture(page, 'run-form-two-walls');
  expect(await violations(page)).toEqual([]);
  await page.getByRole('button', { name: 'Add the run' }).click();
  await page.getByRole('link', { name: /Study base/ }).waitFor();
  expect(errors).toEqual([]);
});
