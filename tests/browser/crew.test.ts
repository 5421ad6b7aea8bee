import { readdirSync, readFileSync } from 'node:fs';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { held, radioOff } from './device.ts';
import { looks, onDesk, onPhone, type Site, signIn, startBrowser, startSite, violations } from './site.ts';

let site: Site;
let browser: Browser;
// Passkeys belong to a name: a browser makes none for an address of numbers.
let url: string;
let lead: Page;
let phone: BrowserContext;
let nora: Page;
let link: string;
const errors: string[] = [];

beforeAll(async () => {
  [site, browser] = await Promise.all([startSite(), startBrowser()]);
  url = site.url.replace('127.0.0.1', 'localhost');
  lead = await watched(await onDesk(browser));
  phone = await onPhone(browser);
  nora = await watched(phone);
  await withAFinger(nora);
});

afterAll(async () => {
  expect(errors).toEqual([]);
  await browser?.close();
  await site?.stop();
});

async function watched(context: BrowserContext): Promise<Page> {
  const page = await context.newPage();
  page.on('pageerror', (error) => errors.push(error.message));
  return page;
}

/** A phone that has a place for passkeys, and a finger on it that is always the right one. */
async function withAFinger(page: Page): Promise<void> {
  const devtools = await page.context().newCDPSession(page);
  await devtools.send('WebAuthn.enable');
  await devtools.send('WebAuthn.addVirtualAuthenticator', {
    options: {
      protocol: 'ctap2',
      transport: 'internal',
      hasResidentKey: true,
      hasUserVerification: true,
      isUserVerified: true,
      automaticPresenceSimulation: true,
    },
  });
}

const field = (page: Page, label: string | RegExp) => page.getByLabel(label, { exact: typeof label === 'string' });
const button = (page: Page, name: string) => page.getByRole('button', { name, exact: true });

async function pin(page: Page, digits: string): Promise<void> {
  for (const digit of digits) await button(page, digit).tap();
}

/** The newest e-mail to an address, as the demonstration's mail server kept it. */
function letterTo(address: string): string | undefined {
  const letters = readdirSync(site.mail).map((name) => readFileSync(`${site.mail}/${name}`, 'utf8'));
  return letters.find((letter) => letter.includes(address));
}

test('a lead invites somebody by link, code and e-mail', async () => {
  await lead.goto(`${url}/board`);
  await signIn(site, lead, 'ruth');
  await lead.getByRole('link', { name: 'Crew', exact: true }).click();
  await field(lead, 'Their name').fill('Nora Vance');
  await field(lead, 'Their e-mail, if wanted').fill('nora@example.com');
  await button(lead, 'Make the invitation').click();
  await lead.getByText('It goes to nora@example.com by e-mail too.').waitFor();
  link = (await lead.locator('.link-code-text').innerText()).trim();
  expect(link).toMatch(/\/join#[A-Za-z0-9_-]{43}$/);
  expect(await looks(lead, 'crew-link')).toEqual([]);
  await lead.setViewportSize({ width: 1280, height: 800 });
  await button(lead, 'I have passed it on').click();
  await lead.getByText('Nora Vance').waitFor();
  await expect.poll(() => letterTo('nora@example.com')).toContain('join#');
});

test('she opens it on her phone, chooses a passphrase, and is in', async () => {
  await nora.goto(link);
  await nora.getByRole('heading', { name: /^Join / }).waitFor();
  expect(nora.url()).not.toContain('#'); // the secret has left the address
  expect(await looks(nora, 'crew-join')).toEqual([]);
  await field(nora, 'Name you sign in with').fill('nora');
  await field(nora, 'Passphrase').fill('short');
  await button(nora, 'Join').tap();
  await nora.getByRole('alert').waitFor();
  await field(nora, 'Passphrase').fill(site.passphrase);
  await button(nora, 'Join').tap();
  await nora.waitForURL(/\/bench$/);
});

test('a passkey signs her in without a name or a passphrase', async () => {
  await nora.goto(`${url}/you`);
  await button(nora, 'Make a passkey on this device').tap();
  await nora.getByRole('heading', { name: 'Passkeys' }).waitFor();
  await nora.goto(`${url}/bench`);
  await button(nora, 'Sign out').tap();
  await button(nora, 'Use a passkey').tap();
  await nora.locator('.home').waitFor();
});

test('a PIN shuts the screen of the phone she put down', async () => {
  await nora.goto(`${url}/you`);
  await button(nora, 'Set a PIN').tap();
  await pin(nora, '2580');
  await nora.getByText('The same four again').first().waitFor();
  await pin(nora, '2580');
  await button(nora, 'Go without').waitFor();
  await nora.reload();
  await nora.getByText('Your PIN').first().waitFor();
  expect(await nora.getByText('Where you are signed in').count()).toBe(0);
  expect(await looks(nora, 'crew-lock')).toEqual([]);
  for (let wrong = 1; wrong <= 3; wrong += 1) {
    await pin(nora, '1111');
    await expect.poll(() => nora.getByText('That is not the PIN.').count()).toBe(1);
    await expect.poll(() => nora.locator('.pin-set').count()).toBe(0);
  }
  await nora.getByText(/^.*Wait \d+ seconds?, then try again\.$/).waitFor();
  expect(await button(nora, '2').isDisabled()).toBe(true);
  // The wait is the device's own: it is over when the device says so.
  await nora.evaluate(() => {
    const kept = JSON.parse(localStorage.getItem('longpoint.pin') ?? '');
    localStorage.setItem('longpoint.pin', JSON.stringify({ ...kept, until: 0 }));
  });
  await nora.reload();
  await pin(nora, '2580');
  await nora.getByRole('heading', { name: 'Where you are signed in' }).waitFor();
});

test('she sees where she is signed in, and ends what is not hers to have', async () => {
  const other = await watched(await onPhone(browser, { userAgent: 'Mozilla/5.0 (iPad)' }));
  await other.goto(`${url}/bench`);
  await signIn(site, other, 'nora');
  await other.locator('.home').waitFor();
  await nora.reload();
  await pin(nora, '2580');
  await nora.locator('.you-row', { hasText: 'iPad' }).waitFor();
  expect(await looks(nora, 'crew-you', nora.locator('.you-row').first())).toEqual([]);
  await button(nora, 'Sign out: iPad').tap();
  await expect.poll(() => nora.locator('.you-row', { hasText: 'iPad' }).count()).toBe(0);
  await other.reload();
  await field(other, 'Name you sign in with').waitFor();
  await other.context().close();
});

test('she changes her passphrase, which whoever else is in as her has to know', async () => {
  const other = await watched(await onPhone(browser, { userAgent: 'Mozilla/5.0 (iPad)' }));
  await other.goto(`${url}/bench`);
  await signIn(site, other, 'nora');
  await other.locator('.home').waitFor();
  const words = 'shim reveal miter cope';
  await button(nora, 'Change the passphrase').tap();
  await field(nora, 'The passphrase you have now').fill('not hers at all, this');
  await field(nora, 'The new one').fill(words);
  await button(nora, 'Change the passphrase').tap();
  await nora.locator('.you-access').getByRole('alert').waitFor();
  await field(nora, 'The passphrase you have now').fill(site.passphrase);
  await button(nora, 'Change the passphrase').tap();
  await nora.getByText('It is changed. You are signed out everywhere else.').waitFor();
  await other.reload();
  await field(other, 'Passphrase').fill(site.passphrase);
  await field(other, 'Name you sign in with').fill('nora');
  await button(other, 'Sign in').tap();
  await other.getByText('The name or the passphrase is not right.').waitFor();
  await field(other, 'Passphrase').fill(words);
  await button(other, 'Sign in').tap();
  await other.locator('.home').waitFor();
  await other.context().close();
  const back = await nora.request.put(`${url}/api/v1/session/passphrase`, { data: { old: words, new: site.passphrase } });
  expect(back.ok()).toBe(true);
});

test("what a lost phone still held waits for the lead's word", async () => {
  const pocket = await onPhone(browser, { serviceWorkers: 'block', userAgent: 'Mozilla/5.0 (Android 15; Mobile)' });
  const marco = await watched(pocket);
  await marco.goto(url);
  await signIn(site, marco, 'marco');
  await held(marco);
  const radioOn = await radioOff(pocket);
  await marco.locator('.next-line', { hasText: 'Linen closet door' }).tap();
  await marco.getByRole('button', { name: /^Tape the/ }).tap();
  await marco.getByRole('textbox', { name: /Type/ }).fill('30 1/8');
  await marco.keyboard.press('Enter');
  await marco.getByText(/^Kept: Width/).first().waitFor();

  await lead.reload();
  await button(lead, 'Change: Marco Delgado').click();
  await button(lead, 'It is lost: Android phone').click();
  expect(await violations(lead)).toEqual([]);
  await button(lead, 'Yes, it is lost: Android phone').click();
  await lead.getByText('Nothing has come from it.').waitFor();

  // It is found under the seat of the van, and its owner signs in.
  await radioOn();
  await marco.goto(`${url}/bench/unsent`);
  await marco.getByText(/1 entry/).first().waitFor();
  await signIn(site, marco, 'marco');
  await marco.getByText("Waiting for the lead's word").waitFor();
  expect(await looks(marco, 'crew-held')).toEqual([]);

  await lead.reload();
  await lead.getByText('1 entry waits for your word:').waitFor();
  expect(await looks(lead, 'crew-lost', lead.locator('.people-held'))).toEqual([]);
  await lead.getByRole('button', { name: /^Take it: Width/ }).click();
  await button(lead, 'The phone is back').click();
  await expect.poll(() => lead.locator('.people-lost').count()).toBe(0);
  const ask = button(marco, 'Ask now');
  await expect
    .poll(async () => {
      if ((await ask.count()) > 0) await ask.tap();
      return marco.locator('.unsent-entry').count();
    })
    .toBe(0);
  await pocket.close();
});

test('an invitation that cannot be used says why', async () => {
  const stranger = await watched(await onPhone(browser));
  await stranger.goto(link);
  await stranger.getByText(/This invitation was used already/).waitFor();
  expect(await violations(stranger)).toEqual([]);
  await button(lead, 'Make the invitation').click();
  const late = (await lead.locator('.link-code-text').innerText()).trim();
  await site.ahead(8 * 24 * 60);
  await stranger.goto(late);
  await stranger.getByText(/This invitation has run out: they last seven days/).waitFor();
  await stranger.goto(`${url}/join#${'x'.repeat(43)}`);
  await stranger.getByText(/not one of our invitations/).waitFor();
  await stranger.context().close();
});
