import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { settled } from './device.ts';
import { fillHoles, sandHoles } from './door-steps.ts';
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

/** The homeowner points something out on the back hall door, one question at a time. */
async function pointOut(page: Page, what: string, words: string, photo = false): Promise<void> {
  await page.locator('a.walk-item', { has: page.getByText('Back hall door', { exact: true }) }).tap();
  const drawing = await page.locator('.spot-touch').boundingBox();
  if (drawing === null) throw new Error('nothing to point at');
  await page.touchscreen.tap(drawing.x + drawing.width * 0.7, drawing.y + drawing.height * 0.4);
  await page.getByRole('button', { name: 'That is the spot' }).tap();
  await page.getByRole('button', { name: what, exact: true }).tap();
  await page.locator('textarea').fill(words);
  if (photo) {
    await page.locator('input[type=file]').first().setInputFiles(heic);
    await page.getByText("That photo is in the iPhone's own format (HEIC), which this browser cannot open.").waitFor();
    await page.locator('input[type=file]').first().setInputFiles(await jpegOf(page));
    await page.getByRole('button', { name: 'Mark the spot on photo 1' }).tap();
    const shown = await page.locator('.spot-touch').boundingBox();
    if (shown === null) throw new Error('no photo to point at');
    await page.touchscreen.tap(shown.x + shown.width * 0.25, shown.y + shown.height * 0.5);
    await page.getByRole('button', { name: 'That is the spot' }).tap();
  }
  await page.getByRole('button', { name: 'Tell the crew' }).tap();
}

/** The first bytes of what an iPhone's camera keeps (ISO/IEC 14496-12, file type box). */
const heic = { name: 'IMG_0002.HEIC', mimeType: 'image/heic', buffer: Buffer.from('\0\0\0\x18ftypheic\0\0\0\0mif1heic', 'latin1') };

/** A picture as a camera hands it over. */
async function jpegOf(page: Page): Promise<{ name: string; mimeType: string; buffer: Buffer }> {
  const data = await page.evaluate(() => {
    const canvas = document.createElement('canvas');
    canvas.width = 640;
    canvas.height = 480;
    const pencil = canvas.getContext('2d');
    if (pencil === null) throw new Error('no canvas');
    pencil.fillStyle = '#c9c6b8';
    pencil.fillRect(0, 0, 640, 480);
    pencil.fillStyle = '#3a352f';
    pencil.fillRect(150, 230, 20, 20);
    return canvas.toDataURL('image/jpeg', 0.8).split(',')[1] ?? '';
  });
  return { name: 'shot.jpg', mimeType: 'image/jpeg', buffer: Buffer.from(data, 'base64') };
}

/** The photos on the screen that have come. */
async function seen(page: Page, within: string): Promise<number> {
  return page.locator(`${within} img`).evaluateAll(
    (found) => found.filter((each) => (each as HTMLImageElement).naturalWidth > 0).length,
  );
}

/** New work for filled, reopened, by touch: every kind of hole filled and, once that is dry, sanded. */
async function fillAgain(page: Page, job: string, item: string): Promise<void> {
  const logged = async (kind: string) => {
    const answer = await page.request.get(`${site.url}/api/v1/jobs/${job}/log?limit=1000`);
    const { entries } = (await answer.json()) as { entries: { command: { kind: string; item_id?: string } }[] };
    return entries.filter(({ command }) => command.kind === kind && command.item_id === item).length;
  };
  const [before, sanded] = [await logged('treat_holes'), await logged('sand')];
  const count = await fillHoles(page);
  // In the log before time passes: one sent after it would have been done by a slow clock.
  await expect.poll(() => logged('treat_holes'), { timeout: 20_000 }).toBe(before + count);
  await settled(page);
  await site.ahead(180);
  // The phone learns from the next answer how late it is by the service's clock.
  await Promise.all([page.waitForResponse(/\/api\/v1\/jobs\//), page.reload()]);
  await page.getByText(/clock is .* slow/).first().waitFor();
  await sandHoles(page);
  await expect.poll(() => logged('sand'), { timeout: 40_000 }).toBe(sanded + count);
}

/** Ticks a stage that was reopened. */
async function tickAgain(page: Page, stage: string): Promise<void> {
  const bar = page.locator('.item-bar');
  await expect.poll(() => bar.innerText()).toMatch(new RegExp(`${stage}[\\s\\S]*to be done again`, 'i'));
  await bar.getByRole('button', { name: /tick/i }).tap();
  await expect.poll(() => bar.innerText()).not.toMatch(new RegExp(`^${stage}`, 'i'));
}

const hole = 'A nail hole shows: above the knob';
const glass = 'I wanted glass in it.';

test('three people through a walkthrough, from two remarks to the signature', async () => {
  // The lead opens it and has a link to pass on.
  const desk = await onDesk(browser);
  const lead = await desk.newPage();
  await lead.goto(`${site.url}/board`);
  await signIn(site, lead, 'ruth');
  await lead.locator('a[href*="/board/jobs/"]').first().click();
  await lead.getByRole('link', { name: 'Walk', exact: true }).click();
  const job = /jobs\/([0-9a-f-]+)/.exec(lead.url())?.[1] ?? '';
  await lead.locator('.walk-looks li').first().waitFor();
  await lead.getByLabel("Homeowner's name").fill('Ada Brandt');
  await lead.getByRole('button', { name: 'Open it and make the link' }).click();
  const link = (await lead.locator('.link-code-text').innerText()).trim();
  expect(link).toMatch(/\/walk#[A-Za-z0-9_-]{43}$/);
  expect(await violations(lead)).toEqual([]);
  await picture(lead, 'walk-lead-link');
  await lead.getByRole('button', { name: 'I have passed it on' }).click();

  // The homeowner, without an account, in the mudroom.
  const pocket = await onPhone(browser);
  const ada = await pocket.newPage();
  await ada.goto(link);
  await ada.getByRole('link', { name: /Mudroom/ }).tap();
  expect(ada.url()).not.toContain(link.split('#')[1] ?? '-');
  expect(await violations(ada)).toEqual([]);
  await pointOut(ada, 'A nail hole shows', 'above the knob');
  await expect.poll(() => ada.locator('.walk-line').allInnerTexts()).toEqual([
    expect.stringContaining("waiting for the crew's answer"),
  ]);

  // The second thing is said with no signal, kept through a closed page's storage, and sent later.
  await pocket.setOffline(true);
  await pointOut(ada, 'Something else', glass, true);
  await ada.getByText('on this phone, not sent yet').waitFor();
  await picture(ada, 'walk-offline');
  await pocket.setOffline(false);
  await expect.poll(() => ada.getByText('on this phone, not sent yet').count(), { timeout: 30_000 }).toBe(0);
  expect(await ada.locator('.walk-line').count()).toBe(2);
  await ada.locator('.walk-line', { hasText: glass }).tap();
  await expect.poll(() => seen(ada, '.walk-photos'), { timeout: 30_000 }).toBe(1);
  expect(await ada.locator('.walk-photos .spot-mark').count()).toBe(1);
  expect(await violations(ada)).toEqual([]);
  await picture(ada, 'walk-photo');
  await ada.goto(`${site.url}/walk#/`);

  // The lead declines one with a reason, agrees to the other with a day.
  const remark = (said: string) => lead.locator('.walk-remark', { hasText: said });
  // What was said offline with its photo is here, with the spot that was marked on it.
  await expect.poll(() => remark(glass).count(), { timeout: 30_000 }).toBe(1);
  await expect.poll(() => seen(lead, '.walk-remark-shown')).toBeGreaterThan(0);
  await remark(glass).getByRole('button', { name: /^Decline/ }).click();
  await remark(glass).locator('textarea').fill('The slab is as ordered.');
  await remark(glass).locator('.walk-answer').getByRole('button', { name: /^Decline/ }).click();
  await remark(glass).getByText('Declined: The slab is as ordered.').waitFor();
  await remark(hole).getByRole('button', { name: 'Agree to do it' }).click();
  await remark(hole).getByText('Goes back to filled').waitFor();
  await remark(hole).locator('.choice-option', { hasText: 'Marco Delgado' }).click();
  await remark(hole).locator('input[type=date]').fill('2031-05-02');
  await picture(lead, 'walk-lead-answer');
  await remark(hole).locator('.walk-answer').getByRole('button', { name: 'Agree to do it' }).click();
  await remark(hole).getByText('to be done', { exact: true }).waitFor();
  const item = /items\/([0-9a-f-]+)/.exec((await remark(hole).locator('a').getAttribute('href')) ?? '')?.[1];

  // The installer finds it on the door, and may not call it fixed before it is filled again.
  const hand = await onPhone(browser);
  const marco = await hand.newPage();
  await marco.goto(`${site.url}/bench/jobs/${job}/items/${item}`);
  await signIn(site, marco, 'marco');
  const fixIt = async () => {
    await marco.locator('.remark', { hasText: 'A nail hole shows' }).waitFor();
    await marco.getByRole('button', { name: 'It is fixed' }).tap();
  };
  await fixIt();
  await marco.getByText('was reopened for this and is not done again').first().waitFor();
  expect(await marco.locator('.remark-spot .spot-mark').count()).toBe(1);
  expect(await violations(marco)).toEqual([]);
  await picture(marco, 'walk-installer');
  await fillAgain(marco, job, item ?? '');
  await tickAgain(marco, 'filled');
  await marco.locator('.remark input[type=file]').setInputFiles(await jpegOf(marco));
  await expect.poll(() => seen(marco, '.remark .shown-photos')).toBe(1);
  await fixIt();
  await expect.poll(() => marco.locator('.remark').count()).toBe(0);

  // The homeowner sees it mended.
  await ada.goto(`${site.url}/walk#/`);
  await ada.reload();
  await ada.locator('.walk-line-theirs', { hasText: 'A nail hole shows' }).tap();
  await expect.poll(() => seen(ada, '.walk-moves'), { timeout: 30_000 }).toBe(1);
  await picture(ada, 'walk-mended');

  // Still there; fixed once more; accepted.
  const answer = async (said: string, name: string) => {
    await ada.goto(`${site.url}/walk#/`);
    await ada.reload();
    await ada.locator('.walk-line-theirs', { hasText: said }).tap();
    await ada.getByRole('button', { name, exact: true }).tap();
  };
  await answer('A nail hole shows', 'It is still there');
  await ada.locator('textarea').fill('I can still feel it.');
  await ada.getByRole('button', { name: 'Send it' }).tap();
  await marco.locator('.remark', { hasText: 'A nail hole shows' }).waitFor({ timeout: 30_000 });
  await fillAgain(marco, job, item ?? '');
  await tickAgain(marco, 'filled');
  await fixIt();
  await expect.poll(() => marco.locator('.remark').count()).toBe(0);
  await answer('A nail hole shows', 'Accept');
  await answer(glass, 'Accept');
  await expect.poll(() => ada.locator('.walk-line-theirs').count()).toBe(0);

  // The signature, by finger, under the whole: sealed.
  await ada.goto(`${site.url}/walk#/sign/`);
  await ada.getByText('Nothing is left open.').waitFor();
  expect(await violations(ada)).toEqual([]);
  const paper = await ada.locator('.hand-paper').boundingBox();
  if (paper === null) throw new Error('nowhere to sign');
  await ada.mouse.move(paper.x + 40, paper.y + 60);
  await ada.mouse.down();
  for (let at = 0; at < 30; at += 1) {
    await ada.mouse.move(paper.x + 40 + at * 8, paper.y + 60 + 25 * Math.sin(at / 2));
  }
  await ada.mouse.up();
  await picture(ada, 'walk-sign');
  await ada.getByRole('button', { name: 'Sign', exact: true }).tap();
  await ada.getByText('Signed by Ada Brandt. What stands here stays as it was signed.').waitFor();
  await lead.reload();
  await lead.getByText(/Sealed\. Signed by Ada Brandt/).waitFor();
  expect(await lead.locator('.walk-one').first().locator('.walk-remark-settled').count()).toBe(2);
  await picture(lead, 'walk-sealed');

  // The paper to keep, with the seal on it.
  const [sheet] = await Promise.all([
    ada.waitForEvent('download'),
    ada.getByRole('button', { name: 'Sign-off record' }).tap(),
  ]);
  expect(sheet.suggestedFilename()).toBe('record.pdf');
});
