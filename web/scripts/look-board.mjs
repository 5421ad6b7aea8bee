// Looks at the lead's screens on a running service, signed in as the demo's lead: photographs every
// screen and state at a phone's and a desk's size by day and by work light, runs the accessibility
// engine on each, and prints the board. Exits non-zero on a violation, an error on the page or
// sideways scrolling.
//
//   node scripts/look-board.mjs http://127.0.0.1:8080 FOLDER [view …]
import { mkdir } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { chromium } from 'playwright-core';
import { chromiumHere } from './chromium.mjs';

const [base, folder, ...only] = process.argv.slice(2);
if (base === undefined || folder === undefined) {
  console.error('usage: node scripts/look-board.mjs http://HOST:PORT FOLDER [view …]');
  process.exit(2);
}
await mkdir(folder, { recursive: true });

const passphrase = process.env.LONGPOINT_LOOK_PASSPHRASE ?? 'chalk line plumb bob';
const axe = createRequire(import.meta.url).resolve('axe-core/axe.min.js');
const browser = await chromium.launch(chromiumHere);
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

const door = await browser.newContext();
const signed = await door.request.post(`${base}/api/v1/session`, {
  data: { sign_in: 'ruth', passphrase },
});
if (!signed.ok()) throw new Error(`sign-in answered ${signed.status()}`);
const storageState = await door.storageState();
const ask = async (path) => (await door.request.get(`${base}/api/v1${path}`)).json();
const { jobs } = await ask('/jobs');
const job = process.env.LONGPOINT_LOOK_JOB ?? jobs.at(-1).id;
const view = await ask(`/jobs/${job}`);
const poles = view.rooms.flatMap(({ items }) => items);
const named = (name) => poles.find((pole) => pole.name === name) ?? poles[0];
const held = poles.find((pole) => pole.held) ?? poles[0];
const room = view.rooms[0];
const roomNamed = (name) => (view.rooms.find((each) => each.name === name) ?? room).id;
const pole = (id) => `[data-place="pole:${id}"]`;

const views = {
  jobs: { path: '/board', ready: '.rod' },
  'new-job': { path: '/board/new' },
  board: { path: `/board/jobs/${job}`, ready: '.post' },
  'board-held': {
    path: `/board/jobs/${job}`,
    ready: '.post',
    act: async (page) => {
      await page.click(pole(named('Garage door')?.id ?? held.id));
      await page.waitForSelector('.chosen-finding');
    },
  },
  'board-pass': {
    path: `/board/jobs/${job}`,
    ready: '.post',
    act: async (page) => {
      await page.click(pole(named('Garage door')?.id ?? held.id));
      await page.click('.chosen-finding .reasoned button');
    },
  },
  'board-room': {
    path: `/board/jobs/${job}`,
    ready: '.post',
    act: (page) => page.click(`[data-place="room:${room.id}"]`),
  },
  'board-keys': {
    path: `/board/jobs/${job}`,
    ready: '.post',
    act: async (page) => {
      await page.focus('.wall [tabindex="0"]');
      for (const key of ['ArrowRight', 'ArrowDown', 'ArrowDown', 'ArrowRight', 'Enter']) {
        await page.keyboard.press(key);
      }
      await page.waitForSelector('.chosen');
    },
  },
  'board-offline': {
    path: `/board/jobs/${job}`,
    ready: '.post',
    mayFail: true,
    act: async (page) => {
      await page.route('**/api/v1/**', (route) => route.abort());
      await page.evaluate(() => dispatchEvent(new Event('online')));
      await page.waitForSelector('.notice-offline');
    },
  },
  'board-waiting': {
    path: `/board/jobs/${job}`,
    before: (page) =>
      page.route(/\/api\/v1\/jobs\/[^/]+$/, (route) => setTimeout(() => route.abort(), 4000)),
    ready: '.notice-waiting',
    mayFail: true,
  },
  'board-gone': {
    path: '/board/jobs/01900000-0000-7000-8000-000000000000',
    ready: '.notice-gone',
    mayFail: true,
  },
  'jobs-none': {
    path: '/board',
    before: (page) =>
      page.route(/\/api\/v1\/jobs$/, (route) => route.fulfill({ json: { jobs: [] } })),
    ready: '.notice-empty',
  },
  'board-no-rooms': {
    path: `/board/jobs/${job}`,
    before: (page) =>
      page.route(/\/api\/v1\/jobs\/[^/]+$/, (route) =>
        route.fulfill({ json: { ...view, rooms: [] } }),
      ),
    ready: '.notice-empty',
  },
  'board-large': {
    path: `/board/jobs/${job}`,
    before: (page) =>
      page.route(/\/api\/v1\/jobs\/[^/]+$/, (route) => route.fulfill({ json: large(view) })),
    ready: '.post',
  },
  walls: { path: `/board/jobs/${job}/rooms/${roomNamed('Dining room')}/walls`, ready: '.drawing' },
  'walls-open': {
    path: `/board/jobs/${job}/rooms/${roomNamed('North bedroom')}/walls`,
    ready: '.room-open',
  },
  'walls-tape': {
    path: `/board/jobs/${job}/rooms/${roomNamed('Dining room')}/walls`,
    ready: '.drawing',
    act: (page) => page.click('.wall-read'),
  },
  'walls-feature': {
    path: `/board/jobs/${job}/rooms/${roomNamed('Dining room')}/walls`,
    ready: '.drawing',
    act: (page) => page.click('.wall-features > .button'),
  },
  'run-new': {
    path: `/board/jobs/${job}/rooms/${roomNamed('Dining room')}/run`,
    ready: '.run-pieces-list',
  },
  run: {
    path: `/board/jobs/${job}/items/${named('Dining room crown').id}`,
    ready: '.run-pieces-list',
  },
  'set-up': { path: `/board/jobs/${job}/set-up`, ready: '.set-up-room' },
  'opening-new': { path: `/board/jobs/${job}/rooms/${room.id}/new`, ready: '.kind' },
  'opening-door': {
    path: `/board/jobs/${job}/rooms/${room.id}/new`,
    ready: '.kind',
    act: async (page) => {
      await page.waitForTimeout(800);
      await page.click('.kind:nth-child(1)');
      await page.waitForSelector('.drawn-drawing');
    },
  },
  'opening-pocket': {
    path: `/board/jobs/${job}/rooms/${room.id}/new`,
    ready: '.kind',
    act: async (page) => {
      await page.click('.kind:nth-child(4)');
      await page.waitForSelector('.finding');
    },
  },
  'opening-edit': {
    path: `/board/jobs/${job}/items/${(named('Garage door') ?? held).id}`,
    ready: '.drawn-drawing',
    act: (page) => page.click('.opening-asked > .button-quiet'),
  },
  'opening-tape': {
    path: `/board/jobs/${job}/items/${(named('Garage door') ?? held).id}`,
    ready: '.drawn-drawing',
    act: (page) => page.click('.picks .pick:last-child >> nth=0'),
  },
  rules: { path: `/board/jobs/${job}/rules`, ready: '.rule-set' },
  'rules-tape': {
    path: `/board/jobs/${job}/rules`,
    ready: '.rule-set',
    act: (page) => page.click('.rule-set >> nth=3'),
  },
  'rules-item': { path: `/board/jobs/${job}/rules/items/${held.id}`, ready: '.rule-set' },
  log: { path: `/board/jobs/${job}/log`, ready: '.entry' },
  'saw-sticks': { path: `/saw/jobs/${job}`, ready: '.stick' },
  ...Object.fromEntries(
    ['settings', 'order', 'rack', 'yard'].map((part) => [
      `saw-${part}`,
      {
        path: `/saw/jobs/${job}`,
        ready: '.stick',
        act: (page) => page.check(`.saw-parts input[value="${part}"]`),
      },
    ]),
  ),
  'saw-choose': {
    path: `/saw/jobs/${job}`,
    ready: '.stick',
    act: async (page) => {
      await page.click('.plan-choose button');
      await page.waitForSelector('.plan-room');
    },
  },
  'saw-put-by': {
    path: `/saw/jobs/${job}`,
    ready: '.stick',
    act: async (page) => {
      // Something is left of a stick once it is on the saw; its first cut puts it there.
      const ways = page.locator('.stick-ways .button').first();
      if (!(await ways.isVisible())) await page.locator('.piece-tick').first().click();
      await ways.click();
      await page.waitForSelector('.saw-sheet');
    },
  },
  'saw-none': {
    path: `/saw/jobs/${job}`,
    before: (page) =>
      page.route(/\/stock$/, (route) =>
        route.fulfill({ json: { rack: [], list: [], seq: view.seq } }),
      ),
    ready: '.notice-empty',
  },
  'saw-offline': {
    path: `/saw/jobs/${job}`,
    before: (page) => page.route(/\/stock$/, (route) => route.abort()),
    ready: '.notice-offline',
    mayFail: true,
  },
  'saw-gone': {
    path: '/saw/jobs/01900000-0000-7000-8000-000000000000',
    ready: '.notice-gone',
    mayFail: true,
  },
  'log-held': { path: `/board/jobs/${job}/log?item=${held.id}&stage=measured`, ready: '.log' },
  import: { path: `/board/jobs/${job}/import`, ready: '.import-lead' },
  'import-read': {
    path: `/board/jobs/${job}/import`,
    ready: '.import-lead',
    act: async (page) => {
      await page.fill(
        '.import textarea',
        'Room,Level,Mark,Kind,Size,Notes\nLoft,upper,L1,door,2868,\nLoft,,L2,trapdoor,30 x 80,Ask first\nMudroom,,L3,window,=A1,\n',
      );
      await page.click('.import .button-main');
      await page.waitForSelector('.import-rows');
    },
  },
  'set-up-copy': {
    path: `/board/jobs/${job}/set-up`,
    ready: '.set-up-room',
    act: (page) => page.click('.ways .way:nth-of-type(2) .button'),
  },
  'board-search': {
    path: `/board/jobs/${job}`,
    ready: '.post',
    act: async (page) => {
      await page.fill('.search-field', 'door');
      await page.waitForSelector('.search-hit');
    },
  },
  'board-sheet': {
    path: `/board/jobs/${job}`,
    ready: '.post',
    act: async (page) => {
      await page.click('.search-keys');
      await page.waitForSelector('.keys');
    },
  },
};

/** Forty rooms with three hundred openings, made from the demo's own. */
function large(job) {
  const levels = [
    ['upper', 'upper floor'],
    ['ground', 'ground floor'],
    ['basement', 'basement'],
  ];
  const rooms = Array.from({ length: 40 }, (_, at) => {
    const from = job.rooms[at % job.rooms.length];
    const [level, level_label] = levels[Math.floor(at / 14)];
    const count = at % 9 === 0 ? 18 : 7 + (at % 3 === 0 ? 1 : 0) - (at % 5 === 1 ? 2 : 0);
    return {
      ...from,
      id: `room-${at}`,
      name: `${from.name} ${at + 1}`,
      level,
      level_label,
      items: Array.from({ length: count }, (_, n) => {
        const pole = poles[(at * 5 + n) % poles.length];
        return {
          ...pole,
          id: `pole-${at}-${n}`,
          room_id: `room-${at}`,
          name: `${pole.name} ${n + 1}`,
        };
      }),
    };
  });
  return { ...job, rooms };
}

async function open(context, name, where) {
  const { path, before, ready, act } = views[name];
  const page = await context.newPage();
  const errors = [];
  page.on('pageerror', (error) => complain(where, error.message));
  page.on('console', (message) => {
    if (message.type() === 'error') errors.push(message.text());
  });
  await before?.(page);
  await page.goto(base + path);
  if (ready !== undefined) await page.waitForSelector(ready, { timeout: 15_000 });
  await page.evaluate(() => document.fonts.ready);
  await act?.(page);
  await page.waitForTimeout(500);
  if (!views[name].mayFail) for (const text of errors) complain(where, text);
  return page;
}

for (const size of sizes) {
  for (const colorScheme of ['light', 'dark']) {
    for (const name of Object.keys(views)) {
      if (only.length > 0 && !only.includes(name)) continue;
      const where = `${name}-${size.name}-${colorScheme}`;
      const options = {
        viewport: { width: size.width, height: size.height },
        colorScheme,
        storageState,
      };
      try {
        const context = await browser.newContext({
          ...options,
          deviceScaleFactor: size.touch ? 2 : 1,
          hasTouch: size.touch,
          isMobile: size.touch,
        });
        const page = await open(context, name, where);
        const up = name.startsWith('board-') && name !== 'board-large';
        await page.screenshot({
          path: `${folder}/${where}.png`,
          fullPage: !up && !name.includes('tape'),
        });
        const sideways = await page.evaluate(
          () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
        );
        if (sideways > 0) complain(where, `scrolls ${sideways}px sideways`);
        if (
          (name.startsWith('board') || name === 'saw-sticks') &&
          !size.touch &&
          colorScheme === 'light'
        ) {
          await page.pdf({ path: `${folder}/${name}.pdf`, preferCSSPageSize: true });
        }
        await context.close();

        const judged = await browser.newContext({
          ...options,
          bypassCSP: true,
          reducedMotion: 'reduce',
        });
        const again = await open(judged, name, where);
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
              .map(
                (node) =>
                  `${node.target.join(' ')} ${node.any[0]?.message ?? node.all[0]?.message ?? node.none[0]?.message ?? ''}`,
              )
              .join('\n    ')}`,
          );
        }
        await judged.close();
      } catch (error) {
        complain(where, error.message.split('\n').slice(0, 3).join(' '));
      }
    }
  }
}
await browser.close();
console.log(`${looked} views looked at, ${wrong} things wrong; pictures in ${folder}`);
process.exit(wrong === 0 ? 0 : 1);
