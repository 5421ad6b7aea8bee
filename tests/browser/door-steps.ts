import type { Page } from 'playwright-core';
import { expect } from 'vitest';

// The worked chain (common practice): slab 28 × 80 × 1 3/4 in an opening 30 wide, heights
// 80 3/8 and 80 1/2, the floor 1/8 high at the hinge side. Label as the tape shows it,
// whole inches for the pad, then the fraction for the strip, in the order a person walks.
export const readings: readonly (readonly [label: RegExp, whole: string, num: number, den: number, direction?: RegExp])[] = [
  [/^width at the bottom/i, '30', 0, 1],
  [/^width at the middle/i, '30', 0, 1],
  [/^width at the top/i, '30', 0, 1],
  [/^height, hinge/i, '80', 3, 8],
  [/^height, strike/i, '80', 1, 2],
  [/^floor/i, '', 1, 8, /hinge/i],
  [/^lean, hinge/i, '0', 0, 1],
  [/^wall build-up/i, '4', 9, 16],
];

/** Touches the enlarged inch at num/den. Zero and one stand a little in from the edges. */
async function touchStrip(page: Page, num: number, den: number): Promise<void> {
  const strip = await page.getByRole('slider').boundingBox();
  if (strip === null) throw new Error('no strip of tape');
  const margin = 25;
  const x = strip.x + margin + ((strip.width - 2 * margin) * num) / den;
  await page.touchscreen.tap(x, strip.y + strip.height / 3);
}

/** Tapes every reading of the open item, by touch: the pad for whole inches, the strip for the fraction. */
export async function tapeAll(page: Page, look: (at: number) => Promise<void> = async () => {}): Promise<void> {
  await page.getByRole('button', { name: /^Tape the/ }).tap();
  for (const [at, [label, whole, num, den, direction]] of readings.entries()) {
    const tape = page.locator('.tape');
    await expect.poll(() => tape.locator('h2').innerText()).toMatch(label);
    for (const digit of whole) await tape.getByRole('button', { name: digit, exact: true }).tap();
    if (num > 0) await touchStrip(page, num, den);
    if (direction !== undefined) await tape.locator('.choice-option', { hasText: direction }).tap();
    await look(at);
    const next = tape.getByRole('button', { name: /Keep, next/ });
    await ((await next.count()) > 0 ? next : tape.getByRole('button', { name: 'Keep', exact: true })).tap();
  }
  if ((await page.locator('.tape').count()) > 0) await page.keyboard.press('Escape');
}

/** The stage bar at the thumb: its tick is touched, and the next stage comes up. */
export async function tickStage(page: Page, stage: string): Promise<void> {
  const bar = page.locator('.item-bar');
  await expect.poll(() => bar.innerText()).toMatch(new RegExp(`${stage}[\\s\\S]*ready`, 'i'));
  await bar.getByRole('button', { name: /tick as done/ }).tap();
  // The stage stays at the thumb until its tick is kept.
  await expect.poll(() => bar.innerText()).not.toMatch(new RegExp(`\\n${stage}\\b`, 'i'));
}

/** The pieces on the screen and what each is to be cut to. */
export async function values(page: Page): Promise<Record<string, string>> {
  await page.locator('.piece').first().waitFor();
  const pairs = await page.locator('.piece').evaluateAll((pieces) =>
    pieces.map((p): [string, string] => [
      p.querySelector('.piece-name')?.textContent ?? '',
      (p.querySelector('.piece-value') as HTMLElement | null)?.innerText.replace(/\s+/g, ' ') ?? '',
    ]),
  );
  // The stacked figures follow the length as it is read aloud.
  return Object.fromEntries(
    pairs.map(([name, value]) => [name.toLowerCase(), /^\d+(?: \d+\/\d+)?/.exec(value)?.[0] ?? value]),
  );
}

/** Touches one of a few, on its face, as a thumb does. */
export async function choose(page: Page, name: string): Promise<void> {
  await page.locator('.choice-option', { has: page.getByRole('radio', { name, exact: true }) }).tap();
}

export async function logNails(page: Page, kind: string, length: string, where: string): Promise<void> {
  for (const name of [kind, length, where]) await choose(page, name);
  await page.getByRole('button', { name: 'Log them' }).tap();
}

export async function cutAll(page: Page): Promise<void> {
  await page.getByRole('button', { name: /All \d cut/ }).tap();
}

/** Reads the gaps of a hung slab and answers its checks. */
export async function hang(page: Page): Promise<void> {
  for (let n = 0; n < 3; n += 1) {
    const left = page.getByRole('button', { name: 'As wanted', exact: true });
    await left.first().waitFor();
    const count = await left.count();
    await left.first().tap();
    await expect.poll(() => left.count()).toBe(count - 1);
  }
  for (const check of await page.locator('.check').all()) await check.getByRole('radio', { name: 'Yes' }).tap();
}

export async function nail(page: Page): Promise<void> {
  await logNails(page, '18 gauge', '1 1/4', 'Jamb edge');
  await expect.poll(() => page.getByText(/18.gauge/).count()).toBeGreaterThan(0);
  await logNails(page, '16 gauge', '2 1/2', 'Stud');
}

/** Fills every kind of hole, one after the other: a row grows as it is filled, and moves the next. */
export async function fillHoles(page: Page): Promise<number> {
  await page.locator('.hole').first().waitFor();
  const holes = await page.locator('.hole').all();
  for (const hole of holes) {
    await hole.getByRole('button', { name: /^filler/i }).tap();
    await hole.getByRole('button', { name: 'Sanded flush' }).waitFor();
  }
  return holes.length;
}

/** Sands every kind of hole once the phone says that all of them are dry. */
export async function sandHoles(page: Page): Promise<void> {
  await page.locator('.hole').first().waitFor();
  const holes = await page.locator('.hole').all();
  for (const hole of holes) await hole.getByText('Dry: sand it flush.').waitFor();
  for (const hole of holes) {
    const sand = hole.getByRole('button', { name: 'Sanded flush' });
    await sand.tap();
    await sand.waitFor({ state: 'detached' });
  }
}

/** From tape to nails. */
export async function tapeToNails(page: Page): Promise<void> {
  await tapeAll(page);
  await tickStage(page, 'measured');
  await cutAll(page);
  await tickStage(page, 'trimmed');
  await hang(page);
  await tickStage(page, 'hung');
  await cutAll(page);
  await page.getByRole('button', { name: /All . as wanted/ }).tap();
  await tickStage(page, 'cased');
  await nail(page);
  await tickStage(page, 'nailed');
}
