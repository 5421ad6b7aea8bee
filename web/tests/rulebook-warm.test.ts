import { expect, it } from 'vitest';
import { warming } from '../src/rulebook/warm.ts';

function worker(
  log = () => Promise.resolve({ now: '2026-03-12T09:00:00Z', entries: [{ seq: 1 }] }),
) {
  const called: [string, Record<string, unknown>][] = [];
  let waiting: (() => void) | undefined;
  const warmth = warming(
    (name, json) => {
      called.push([name, JSON.parse(json)]);
    },
    log,
    (work) => {
      waiting = work;
    },
  );
  /** Nothing is asked for a moment; false when nothing was waiting for that. */
  const idle = async (): Promise<boolean> => {
    const work = waiting;
    waiting = undefined;
    work?.();
    for (let turn = 0; turn < 5; turn += 1) await Promise.resolve();
    return work !== undefined;
  };
  return { warmth, idle, names: () => called.map(([name]) => name), called };
}

it('views its own job while idle, a view a step, and closes it', async () => {
  const { warmth, idle, names, called } = worker();
  expect(await idle()).toBe(false);
  warmth.asked('parse_length');
  warmth.answered('es');
  expect(names()).toEqual([]);
  await idle();
  expect(names()).toEqual(['open', 'apply']);
  await idle();
  expect(names()).toEqual(['open', 'apply', 'view_job']);
  expect(called[2]?.[1]).toMatchObject({ reader: { language: 'es' } });
  while (await idle());
  expect(names()).toEqual(['open', 'apply', ...Array(8).fill('view_job'), 'close']);
  warmth.asked('view_job');
  warmth.answered('es');
  expect(await idle()).toBe(false);
  expect(new Set(called.map(([, sent]) => sent['as']))).toEqual(new Set([' warm']));
});

it('stands back while a question is open, and goes on after it', async () => {
  const { warmth, idle, names } = worker();
  warmth.asked('parse_length');
  warmth.answered('en');
  warmth.asked('decide');
  await idle();
  expect(names()).toEqual([]);
  warmth.answered('en');
  await idle();
  expect(names()).toEqual(['open', 'apply']);
});

it('ends with the first view of a real job', async () => {
  const { warmth, idle, names } = worker();
  warmth.asked('parse_length');
  warmth.answered('en');
  await idle();
  warmth.asked('view_job');
  warmth.answered('en');
  await idle();
  expect(await idle()).toBe(false);
  expect(names()).toEqual(['open', 'apply', 'close']);
});

it('is not missed where its file is not there', async () => {
  const { warmth, idle, names } = worker(() => Promise.reject(new Error('no signal')));
  warmth.asked('parse_length');
  warmth.answered('en');
  await idle();
  expect(await idle()).toBe(false);
  expect(names()).toEqual([]);
});
