import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type Site, startSite } from '../site.ts';
import { type Engine, startFirefox, startWebKit, until } from './engine.ts';

let site: Site;

beforeAll(async () => {
  site = await startSite();
});

afterAll(async () => {
  await site?.stop();
});

const shows = (engine: Engine, words: string) =>
  until(`“${words}”`, () => engine.ask((text) => document.body.innerText.replace(/\s+/g, ' ').includes(text ?? ''), words));

/** Values on the drawing's dimension lines, as they are read aloud. */
const drawn = (engine: Engine) =>
  engine.ask(() =>
    [...document.querySelectorAll('.drawing [aria-label]')].map((each) => each.getAttribute('aria-label') ?? ''),
  );

/** How often the log has the take, asked of the service as the one who is signed in. */
const logged = (engine: Engine, job: string, item: string, sentence: string) =>
  engine.ask(
    async (path, said) => {
      const answer = await fetch(path ?? '');
      const { entries } = (await answer.json()) as { entries: { sentence: string }[] };
      return entries.filter((entry) => entry.sentence.startsWith(said ?? '')).length;
    },
    `/api/v1/jobs/${job}/items/${item}/entries?limit=100`,
    sentence,
  );

// Each tapes the next reading of the same opening: they share the house.
const opening = 'Linen closet door';
const engines = [
  { start: startFirefox, typed: '30 1/8' },
  { start: startWebKit, typed: '30 3/16' },
];

describe.each(engines)('$start.name', ({ start, typed }) => {
  let engine: Engine;

  beforeAll(async () => {
    engine = await start();
  });

  afterAll(async () => {
    await engine?.close();
  });

  // No driver but Chromium's can switch the network off: here the service goes away instead.
  test('a reading taped without a signal is kept, drawn, and sent once', async ({ onTestFailed }) => {
    onTestFailed(() => engine.picture(`${engine.name}-failed`));
    await engine.goto(site.url);
    await engine.type({ field: 'Name you sign in with' }, 'marco');
    await engine.type({ field: 'Passphrase' }, site.passphrase);
    await engine.click({ press: 'Sign in' });
    await shows(engine, opening);
    await until('the app kept on the device', () =>
      engine.ask(() => navigator.serviceWorker.controller?.state === 'activated'),
    );
    // What an engine lacks is said on its screen, and nothing else is.
    const lacks = await engine.ask(() => {
      const here: [string, unknown][] = [
        ['indexedDB', globalThis.indexedDB],
        ['WebAssembly', globalThis.WebAssembly],
        ['serviceWorker', navigator.serviceWorker],
        ['locks', navigator.locks],
        ['BroadcastChannel', globalThis.BroadcastChannel],
        ['storage.persist', navigator.storage?.persist],
        ['storage.estimate', navigator.storage?.estimate],
        ['OffscreenCanvas', globalThis.OffscreenCanvas],
        ['share', navigator.share],
      ];
      return here.filter(([, has]) => has === undefined).map(([name]) => name);
    });
    const signs = await engine.ask(() => document.querySelectorAll('.device-signs p').length);
    console.log(`${engine.name} lacks: ${lacks.join(', ') || 'nothing'}; its screen has ${signs} signs`);
    const told = ['indexedDB', 'WebAssembly', 'serviceWorker'].filter((name) => lacks.includes(name));
    expect(signs).toBe(told.length);
    await engine.click({ press: opening });
    const asked = await until('the next reading', () =>
      engine.ask(() => /Tape the (width at the (?:bottom|middle))/i.exec(document.querySelector('.item')?.textContent ?? '')?.[1]),
    );
    const reading = `${asked.charAt(0).toUpperCase()}${asked.slice(1)}`;
    expect(reading).toMatch(/^Width at the (bottom|middle)$/);
    const place = await engine.ask(() => location.pathname);
    const [, job = '', item = ''] = /jobs\/([0-9a-f-]+)\/items\/([0-9a-f-]+)/.exec(place) ?? [];
    expect(await logged(engine, job, item, `${reading}: ${typed}`)).toBe(0);

    await site.down();
    await engine.click({ press: 'Tape the' });
    await engine.type({ field: 'Type' }, typed);
    await engine.enter();
    await shows(engine, `Kept: ${reading}`);
    await engine.picture(`${engine.name}-kept`);

    // The page is gone and comes back, still without a signal: from what is on the device alone.
    await engine.goto(`${site.url}/bench/unsent`);
    await shows(engine, typed);
    await engine.picture(`${engine.name}-offline`);

    await site.up();
    await engine.goto(`${site.url}${place}`);
    await until('the take in the log', async () => (await logged(engine, job, item, `${reading}: ${typed}`)) === 1);
    await shows(engine, opening);
    expect((await drawn(engine)).join('\n')).toContain(typed);
    await engine.picture(`${engine.name}-sent`);
  });
});
