// Looks at the bench as it runs: drives the demonstration's real service in Chromium, photographs
// every screen and stage at a phone's and a desk's size by day and by work light, runs the
// accessibility engine on each, and fails on a violation, an error on the page, sideways scrolling,
// or a thing to touch that is smaller than a thumb.
//
//   node scripts/look-app.mjs FOLDER http://127.0.0.1:8080 [view …]
import { mkdir } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { chromium } from 'playwright-core';
import { chromiumHere } from './chromium.mjs';

const [folder, base, ...only] = process.argv.slice(2);
if (base === undefined) {
  console.error('usage: node scripts/look-app.mjs FOLDER http://127.0.0.1:8080 [view …]');
  process.exit(2);
}
await mkdir(folder, { recursive: true });
const passphrase = process.env.LONGPOINT_PASSPHRASE ?? 'chalk line plumb bob';

const browser = await chromium.launch(chromiumHere);
const axe = createRequire(import.meta.url).resolve('axe-core/axe.min.js');

async function signedIn(context, name) {
  const answer = await context.request.post(`${base}/api/v1/session`, {
    data: { sign_in: name, passphrase },
  });
  if (!answer.ok()) throw new Error(`${name} cannot sign in: ${answer.status()}`);
}

async function house() {
  const context = await browser.newContext();
  await signedIn(context, 'ruth');
  const get = async (path) => (await context.request.get(`${base}/api/v1${path}`)).json();
  const job = (await get('/jobs')).jobs.at(-1).id;
  const view = await get(`/jobs/${job}`);
  await context.close();
  const items = new Map();
  const rooms = new Map();
  for (const room of view.rooms) {
    rooms.set(room.name, room.id);
    for (const item of room.items) items.set(item.name, item.id);
  }
  return {
    item: (name, stage) => `/bench/jobs/${job}/items/${items.get(name)}${stage ? `/${stage}` : ''}`,
    room: (name) => `/bench/jobs/${job}/rooms/${rooms.get(name)}`,
    job,
  };
}

const { item, room, job } = await house();
const nowhere = '00000000-0000-7000-8000-000000000000';
const press = (name, how) => (page) =>
  page
    .getByRole('button', { name, ...how })
    .first()
    .click();
const open =
  (...names) =>
  async (page) => {
    for (const name of names) await press(name)(page);
  };

/** Each view: who looks, where, and what they touch first. */
const views = {
  'sign-in': { who: null, at: '/' },
  'sign-in-refused': {
    who: null,
    at: '/',
    first: async (page) => {
      await page.getByLabel('Name you sign in with').fill('marco');
      await page.getByLabel('Passphrase', { exact: true }).fill('not the one');
      await press('Sign in')(page);
      await page
        .getByText(/Passphrase|passphrase|name/)
        .first()
        .waitFor();
      await page.waitForTimeout(700);
    },
    errors: /401/,
  },
  home: { who: 'marco', at: '/' },
  'home-lead': { who: 'ruth', at: '/' },
  'home-offline': {
    who: 'marco',
    at: '/',
    first: async (page, context) => {
      await context.setOffline(true);
      await page.evaluate(() => dispatchEvent(new Event('online')));
      await page.waitForTimeout(600);
    },
    errors: /ERR_INTERNET_DISCONNECTED/,
  },
  room: { who: 'marco', at: room('Upstairs landing') },
  'room-gone': { who: 'marco', at: `/bench/jobs/${job}/rooms/${nowhere}` },
  'item-gone': {
    who: 'marco',
    at: `/bench/jobs/${job}/items/${nowhere}`,
    errors: /404/,
  },
  unsent: { who: 'marco', at: '/bench/unsent' },
  'measured-new': { who: 'marco', at: item('Linen closet door') },
  'measured-list': {
    who: 'marco',
    at: item('Linen closet door', 'measured'),
    first: async (page) => page.getByRole('radio', { name: 'List' }).click(),
  },
  taping: {
    who: 'marco',
    at: item('Linen closet door'),
    first: press(/^Tape the/),
    fixed: true,
  },
  'taping-lean': {
    who: 'marco',
    at: item('Linen closet door'),
    first: async (page) => {
      await page.getByRole('radio', { name: 'List' }).click();
      await press(/^Lean, hinge|^Lean.*hinge/)(page);
    },
    fixed: true,
  },
  gauge: {
    who: 'marco',
    at: item('Linen closet door'),
    first: async (page) => {
      await page.getByRole('radio', { name: 'List' }).click();
      await press(/corner/i)(page);
    },
    fixed: true,
  },
  settle: {
    who: 'marco',
    at: item('Closet pair'),
    first: press(/^Settle the/),
    fixed: true,
  },
  'measured-done': { who: 'marco', at: item('North bedroom door', 'measured') },
  'trimmed-stale': { who: 'marco', at: item('North bedroom door', 'trimmed') },
  'trimmed-why': {
    who: 'marco',
    at: item('North bedroom door', 'trimmed'),
    first: press(/^Why this number/),
  },
  held: {
    who: 'marco',
    at: item('North bedroom door', 'trimmed'),
    first: press(/held. See why/),
    fixed: true,
  },
  'trimmed-fire': { who: 'tess', at: item('Garage door') },
  'pass-lead': {
    who: 'ruth',
    at: item('Garage door'),
    first: press('Pass it, with a reason'),
    fixed: true,
  },
  hung: { who: 'tess', at: item('Pantry door') },
  cased: { who: 'tess', at: item('Kitchen opening', 'cased') },
  nailed: { who: 'tess', at: item('Kitchen opening') },
  'nailed-logged': { who: 'marco', at: item('Attic stair door', 'nailed') },
  filled: { who: 'marco', at: item('Attic stair door') },
  'filled-refused': {
    who: 'marco',
    at: item('Attic stair door', 'filled'),
    first: async (page) => {
      await page
        .getByRole('button', { name: /caulk: not for these/i })
        .first()
        .click();
      await page
        .getByText(/can't be caulked/)
        .first()
        .waitFor();
    },
  },
  caulked: { who: 'tess', at: item('Back hall door', 'caulked') },
  painted: { who: 'tess', at: item('Back hall door') },
  reopen: {
    who: 'tess',
    at: item('Back hall door', 'painted'),
    first: press(/Open it again/),
    fixed: true,
  },
  'room-plan': { who: 'tess', at: room('Dining room') },
  'room-open': { who: 'marco', at: room('North bedroom') },
  'room-taping': {
    who: 'marco',
    at: room('Upstairs landing'),
    first: press(/^Tape the length of wall/),
    fixed: true,
  },
  'run-measured': { who: 'tess', at: item('Dining room base', 'measured') },
  'run-wanted': { who: 'marco', at: item('Landing base') },
  'run-cuts': { who: 'tess', at: item('Dining room crown', 'trimmed') },
  'run-corner': {
    who: 'tess',
    at: item('Dining room base', 'trimmed'),
    first: async (page) => {
      await page
        .locator('.run-plan')
        .getByRole('button', { name: /^corner 4/i })
        .focus();
      await page.keyboard.press('Enter');
    },
    fixed: true,
  },
  'run-nailed': { who: 'tess', at: item('Dining room base', 'nailed') },
  log: { who: 'marco', at: item('Attic stair door', 'filled'), first: open('Log') },
  rules: { who: 'marco', at: item('Attic stair door', 'filled'), first: open('House rules') },
};

const sizes = [
  { name: 'phone', width: 390, height: 844, touch: true },
  { name: 'desk', width: 1280, height: 800, touch: false },
];
let wrong = 0;
let looked = 0;
const complain = (where, what) => {
  wrong += 1;
  console.error(`${where}: ${what}`);
};

async function arrive(context, view, where) {
  if (view.who !== null) await signedIn(context, view.who);
  const page = await context.newPage();
  page.on('pageerror', (error) => complain(where, error.message));
  page.on('console', (message) => {
    if (
      message.type() === 'error' &&
      !(view.errors?.test(message.text()) || (view.who === null && /401/.test(message.text())))
    )
      complain(where, message.text());
  });
  await page.goto(base + view.at);
  await page.waitForSelector('main:not([aria-busy])');
  await page.waitForTimeout(500);
  await page.evaluate(() => document.fonts.ready);
  await view.first?.(page, context);
  await page.waitForTimeout(450);
  return page;
}

for (const size of sizes) {
  for (const colorScheme of ['light', 'dark']) {
    for (const [name, view] of Object.entries(views)) {
      if (only.length > 0 && !only.includes(name)) continue;
      const where = `${name}-${size.name}-${colorScheme}`;
      try {
        const context = await browser.newContext({
          viewport: { width: size.width, height: size.height },
          deviceScaleFactor: size.touch ? 2 : 1,
          hasTouch: size.touch,
          isMobile: size.touch,
          colorScheme,
          reducedMotion: 'reduce',
        });
        const page = await arrive(context, view, where);
        await page.screenshot({ path: `${folder}/${where}.png` });
        if (!view.fixed) {
          await page.screenshot({ path: `${folder}/${where}-whole.png`, fullPage: true });
        }
        const found = await page.evaluate(() => {
          const root = document.documentElement;
          const small = [];
          for (const each of document.querySelectorAll('button, a[href], input, textarea')) {
            const box = each.getBoundingClientRect();
            const shown = each.checkVisibility?.({ visibilityProperty: true }) ?? true;
            // A field one pixel small is there for the screen reader; its label is what a thumb meets.
            if (!shown || box.width < 2 || each.closest('p, svg') !== null) continue;
            if (box.width < 47.5 || box.height < 43.5) {
              small.push(
                `${(each.getAttribute('aria-label') ?? each.textContent ?? '').slice(0, 40)} ${Math.round(box.width)}×${Math.round(box.height)}`,
              );
            }
          }
          return { sideways: root.scrollWidth - root.clientWidth, small };
        });
        if (found.sideways > 0) complain(where, `scrolls ${found.sideways}px sideways`);
        if (size.touch && found.small.length > 0) {
          complain(where, `too small to touch: ${found.small.join('; ')}`);
        }
        await context.close();

        const judged = await browser.newContext({
          viewport: { width: size.width, height: size.height },
          colorScheme,
          bypassCSP: true,
          reducedMotion: 'reduce',
        });
        const again = await arrive(judged, view, where);
        await again.addScriptTag({ path: axe });
        const { violations } = await again.evaluate(() =>
          globalThis.axe.run(document, {
            runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
          }),
        );
        looked += 1;
        for (const violation of violations) {
          complain(
            where,
            `${violation.id}: ${violation.help}\n    ${violation.nodes
              .slice(0, 4)
              .map((node) => `${node.target.join(' ')} ${node.any[0]?.message ?? ''}`)
              .join('\n    ')}`,
          );
        }
        await judged.close();
      } catch (cause) {
        complain(where, String(cause).split('\n').slice(0, 4).join(' '));
      }
    }
  }
}
await browser.close();
console.log(`${looked} views looked at, ${wrong} things wrong; pictures in ${folder}`);
process.exit(wrong === 0 ? 0 : 1);
