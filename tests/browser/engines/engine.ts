import { type ChildProcess, spawn } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { fileURLToPath } from 'node:url';
import puppeteer, { type ElementHandle } from 'puppeteer-core';
import { Builder, Capabilities, Key, type WebElement } from 'selenium-webdriver';

/** A browser of another make, as far as a journey needs one. It is driven as a person would: by real clicks and keys. */
export interface Engine {
  readonly name: string;
  goto(url: string): Promise<void>;
  /** Runs in the page; answers what it returns or resolves to. */
  ask<R>(question: (...args: string[]) => R | Promise<R>, ...args: string[]): Promise<R>;
  click(found: Wanted): Promise<void>;
  type(found: Wanted, text: string): Promise<void>;
  enter(): Promise<void>;
  picture(name: string): Promise<void>;
  close(): Promise<void>;
}

/** A thing on the screen by its words: a field by its label, anything else by its own words or name. */
export interface Wanted {
  readonly field?: string;
  readonly press?: string;
}

/** Runs in the page. The first one that can be seen and starts with the words. */
function find(wanted: Wanted): Element | null {
  const seen = (element: Element) => element.getClientRects().length > 0;
  const starts = (text: string | null | undefined, words: string) =>
    (text ?? '').trim().replace(/\s+/g, ' ').startsWith(words);
  if (wanted.field !== undefined) {
    const words = wanted.field;
    for (const field of document.querySelectorAll('input, textarea')) {
      const { labels } = field as HTMLInputElement;
      const named = [...(labels ?? [])].some((label) => starts(label.textContent, words));
      if (seen(field) && (named || starts(field.getAttribute('aria-label'), words))) return field;
    }
    return null;
  }
  const words = wanted.press ?? '';
  for (const each of document.querySelectorAll('button, a[href], [role="button"]')) {
    if (seen(each) && (starts(each.getAttribute('aria-label'), words) || starts(each.textContent, words))) return each;
  }
  return null;
}

const folder = fileURLToPath(new URL('../.out/', import.meta.url));

function keep(name: string, png: Uint8Array): void {
  mkdirSync(folder, { recursive: true });
  writeFileSync(`${folder}${name}.png`, png);
}

/** Asks until there is an answer; a page draws in its own time. */
export async function until<R>(what: string, ask: () => Promise<R | null | undefined | false>, patience = 60_000): Promise<R> {
  const end = Date.now() + patience;
  let cause: unknown;
  for (;;) {
    try {
      const answer = await ask();
      if (answer !== null && answer !== undefined && answer !== false) return answer;
    } catch (error) {
      cause = error; // between two pages there is none to ask
    }
    if (Date.now() > end) throw new Error(`no ${what} within ${patience} ms`, { cause });
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
}

/** Debian's Firefox, driven by WebDriver BiDi, which it speaks itself. */
export async function startFirefox(): Promise<Engine> {
  const browser = await puppeteer.launch({
    browser: 'firefox',
    executablePath: process.env['FIREFOX'] ?? '/usr/bin/firefox-esr',
    headless: true,
    timeout: 120_000,
    protocolTimeout: 120_000,
    // It calls nobody but the site.
    extraPrefsFirefox: { 'app.update.disabledForTesting': true, 'network.captive-portal-service.enabled': false },
  });
  const page = await browser.newPage();
  await page.setViewport({ width: 390, height: 844 });
  const element = (wanted: Wanted) =>
    until(
      JSON.stringify(wanted),
      async () => (await page.evaluateHandle(find, wanted)).asElement() as ElementHandle<Element> | null,
    );
  return {
    name: 'firefox',
    goto: async (url) => void (await page.goto(url, { waitUntil: 'domcontentloaded' })),
    ask: async (question, ...args) => await page.evaluate(question, ...args),
    click: async (wanted) => (await element(wanted)).click(),
    type: async (wanted, text) => (await element(wanted)).type(text),
    enter: () => page.keyboard.press('Enter'),
    picture: async (name) => keep(name, await page.screenshot()),
    close: () => browser.close(),
  };
}

/** WebKit as Debian builds it, driven by its own WebDriver in a display that nobody sees. */
export async function startWebKit(): Promise<Engine> {
  const display = await startDisplay();
  const port = await freePort();
  const driver = spawn('WebKitWebDriver', [`--port=${port}`], {
    stdio: 'ignore',
    env: { ...process.env, DISPLAY: display.name },
  });
  const stop = () => {
    driver.kill();
    display.process.kill();
  };
  try {
    // The driver knows its own library's small browser.
    const asked = new Capabilities({ browserName: 'MiniBrowser' });
    const session = await until('WebKit', () =>
      new Builder().usingServer(`http://127.0.0.1:${port}`).withCapabilities(asked).build(),
    );
    await session.manage().setTimeouts({ script: 120_000, pageLoad: 120_000 });
    await session.manage().window().setRect({ width: 390, height: 844 });
    const element = (wanted: Wanted) =>
      until(JSON.stringify(wanted), () => session.executeScript<WebElement | null>(find, wanted));
    return {
      name: 'webkit',
      goto: (url) => session.get(url),
      ask: async (question, ...args) => {
        const script = `const done = arguments[arguments.length - 1];
          Promise.resolve((${question})(...[...arguments].slice(0, -1))).then((it) => done({ it }), (error) => done({ error: String(error) }));`;
        const answer = await session.executeAsyncScript<{ it: never; error?: string }>(script, ...args);
        if (answer.error !== undefined) throw new Error(answer.error);
        return answer.it;
      },
      click: async (wanted) => (await element(wanted)).click(),
      type: async (wanted, text) => (await element(wanted)).sendKeys(text),
      enter: () => session.actions().sendKeys(Key.ENTER).perform(),
      picture: async (name) => keep(name, Buffer.from(await session.takeScreenshot(), 'base64')),
      async close() {
        await session.quit();
        stop();
      },
    };
  } catch (cause) {
    stop();
    throw cause;
  }
}

/** An X server without a screen; it says which display it took. */
async function startDisplay(): Promise<{ name: string; process: ChildProcess }> {
  const child = spawn('Xvfb', ['-displayfd', '3', '-screen', '0', '1280x1024x24', '-nolisten', 'tcp'], {
    stdio: ['ignore', 'ignore', 'ignore', 'pipe'],
  });
  const number = await new Promise<string>((resolve, reject) => {
    child.stdio[3]?.once('data', (said: Buffer) => resolve(said.toString().trim()));
    child.once('error', reject);
    child.once('exit', (code) => reject(new Error(`Xvfb ended with ${code}`)));
  });
  return { name: `:${number}`, process: child };
}

function freePort(): Promise<number> {
  return new Promise((resolve, reject) => {
    const probe = createServer();
    probe.once('error', reject);
    probe.listen(0, '127.0.0.1', () => {
      const address = probe.address();
      probe.close(() => (typeof address === 'object' && address !== null ? resolve(address.port) : reject(new Error('no port'))));
    });
  });
}
