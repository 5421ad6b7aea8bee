import { type ChildProcess, spawn } from 'node:child_process';
import { mkdirSync, readFileSync } from 'node:fs';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import { type Browser, type BrowserContext, type BrowserContextOptions, chromium, type Locator, type Page } from 'playwright-core';
import { chromiumHere } from '../../web/scripts/chromium.mjs';
import { record } from './record.ts';

/** The invented house, served for one test file, with a clock the tests move. */
export interface Site {
  readonly url: string;
  readonly passphrase: string;
  /** The folder in which e-mail is kept: none leaves the machine. */
  readonly mail: string;
  /** Moves the server's clock, for filler to dry. */
  ahead(minutes: number): Promise<void>;
  /** Stops the service: to the phones it is as if the signal were gone. */
  down(): Promise<void>;
  /** Starts it again at the same address, with the app in a folder if one is named. */
  up(app?: string): Promise<void>;
  /** Puts a job of 300 items and as many entries beside the invented one, and answers its id. */
  large(entries: number): Promise<string>;
  stop(): Promise<void>;
}

/** The app as it is, and the version after it; run.sh builds both. */
export const thisApp = fileURLToPath(new URL('../../web/dist', import.meta.url));
export const nextApp = fileURLToPath(new URL('./.out/next', import.meta.url));

const binary = fileURLToPath(new URL('./.out/site', import.meta.url));

/** Starts the site that run.sh built. */
export async function startSite(): Promise<Site> {
  const child = spawn(binary, { stdio: ['pipe', 'pipe', 'inherit'] });
  const line = await firstLine(child);
  const { url, control, passphrase, mail, walk } = JSON.parse(line) as Record<string, string>;
  if (url === undefined || control === undefined || passphrase === undefined || mail === undefined || walk === undefined) {
    throw new Error(`the site said ${line}`);
  }
  return {
    url,
    passphrase,
    mail,
    async ahead(minutes) {
      await tell(`${control}/ahead?minutes=${minutes}`);
    },
    async down() {
      await tell(`${control}/down`);
    },
    async up(app) {
      await tell(`${control}/up${app === undefined ? '' : `?app=${encodeURIComponent(app)}`}`);
    },
    large: (entries) => tell(`${control}/large?entries=${entries}`),
    async stop() {
      const folder = process.env['LONGPOINT_RECORD'];
      if (folder !== undefined) await record({ url, passphrase, walk }, folder);
      const ended = new Promise((resolve) => child.once('exit', resolve));
      child.stdin?.end();
      await ended;
    },
  };
}

async function tell(what: string): Promise<string> {
  const answer = await fetch(what, { method: 'POST' });
  const said = await answer.text();
  if (!answer.ok) throw new Error(`${what} answered ${answer.status}: ${said}`);
  return said;
}

function firstLine(child: ChildProcess): Promise<string> {
  return new Promise((resolve, reject) => {
    if (child.stdout === null) return reject(new Error('no output'));
    createInterface({ input: child.stdout }).once('line', resolve);
    child.once('error', reject);
    child.once('exit', (code) => reject(new Error(`the site ended with ${code}`)));
  });
}

/** Debian's Chromium, kept from calling anywhere but the site. */
export function startBrowser(): Promise<Browser> {
  return chromium.launch(chromiumHere);
}


export const phone = { width: 390, height: 844 };
const inTheHand = { viewport: phone, hasTouch: true, isMobile: true, deviceScaleFactor: 2 };
export const desk = { width: 1280, height: 800 };

/** A phone in a hand: touch, no mouse. One that was never here before may do without the app kept on it. */
export function onPhone(browser: Browser, more: BrowserContextOptions = {}): Promise<BrowserContext> {
  return browser.newContext({ ...inTheHand, ...more });
}

/** A phone that keeps what it has in a folder, and can be switched off and on. */
export function startPhone(folder: string): Promise<BrowserContext> {
  return chromium.launchPersistentContext(folder, { ...chromiumHere, ...inTheHand });
}

export function onDesk(browser: Browser): Promise<BrowserContext> {
  return browser.newContext({ viewport: desk });
}

const axeSource = readFileSync(new URL('./node_modules/axe-core/axe.min.js', import.meta.url), 'utf8');

/** What the accessibility engine finds on the screen as it stands, a line each. */
export async function violations(page: Page): Promise<string[]> {
  // Not a script tag: the content security policy would refuse it, as it should.
  await page.evaluate(axeSource);
  return page.evaluate(async () => {
    const axe = (window as unknown as { axe: { run(): Promise<AxeResults> } }).axe;
    const { violations: found } = await axe.run();
    return found.flatMap((v) => v.nodes.map((n) => `${v.id}: ${n.target.join(' ')}`));
  });
}

interface AxeResults {
  readonly violations: readonly {
    readonly id: string;
    readonly nodes: readonly { readonly target: readonly string[] }[];
  }[];
}

/**
 * Looks at the screen as it stands on a phone and a desk, by day and by work light: keeps a picture
 * of each, scrolled to what it is about, and answers what is wrong, a line each. Leaves it on the phone
 * by day.
 */
export async function looks(page: Page, name: string, about?: Locator): Promise<string[]> {
  const wrong: string[] = [];
  for (const [size, view] of [['desk', desk], ['phone', phone]] as const) {
    await page.setViewportSize(view);
    // In the middle: at an edge a bar may lie over it.
    await about?.evaluate((element) => element.scrollIntoView({ block: 'center' }));
    for (const colorScheme of ['dark', 'light'] as const) {
      await page.emulateMedia({ colorScheme });
      await picture(page, `${name}-${size}-${colorScheme}`);
      for (const each of await violations(page)) wrong.push(`${size} ${colorScheme}: ${each}`);
    }
  }
  return [...wrong, ...(await page.evaluate(tooSmall))];
}

/** Runs in the page. What is too small for a thumb, and whether the page scrolls sideways. */
function tooSmall(): string[] {
  const root = document.documentElement;
  const wrong = root.scrollWidth > root.clientWidth ? ['scrolls sideways'] : [];
  for (const each of document.querySelectorAll('button, a[href], input, textarea')) {
    const { width, height } = each.getBoundingClientRect();
    // Words within a sentence are as high as the sentence (WCAG 2.2, 2.5.8).
    // A file's own field lies unseen behind its label.
    if (width <= 1 || each.closest('p, svg') !== null || !each.checkVisibility()) continue;
    if (width < 47.5 || height < 47.5) wrong.push(`too small: ${each.textContent} ${width}×${height}`);
  }
  return wrong;
}

/** Keeps a picture of the screen in .out/, for people to look at. */
export async function picture(page: Page, name: string): Promise<void> {
  const folder = fileURLToPath(new URL('./.out/', import.meta.url));
  mkdirSync(folder, { recursive: true });
  await page.screenshot({ path: `${folder}${name}.png` });
}

/** Signs one of the invented crew in on the page as it stands. */
export async function signIn(site: Site, page: Page, name: string): Promise<void> {
  await page.getByLabel('Name you sign in with').fill(name);
  await page.getByLabel('Passphrase', { exact: true }).fill(site.passphrase);
  await page.getByRole('button', { name: 'Sign in', exact: true }).click();
}

/** Waits until the whole app is kept on the device and the page is served from there. */
export async function installed(page: Page): Promise<void> {
  await page.waitForFunction(() => navigator.serviceWorker.controller?.state === 'activated', null, { timeout: 90_000 });
}
