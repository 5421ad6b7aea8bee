import { render } from 'preact';
import { act } from 'preact/test-utils';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import type { JobView } from '../src/api/views.ts';
import { Log } from '../src/board/log.tsx';
import { Rooms } from '../src/board/rooms.tsx';
import { jobCell } from '../src/live/shown.ts';
import { goTo, hash } from '../src/router.ts';

/* What is found leads there, also when it is on the screen already. */

const id = (n: number) => `018f0000-0000-7000-8000-00000000000${n}`;
const room = (n: number) => ({
  id: id(n),
  name: `Room ${n}`,
  level: 'ground',
  level_label: 'ground',
  items: [],
});
const job = {
  id: 'job',
  name: 'The house',
  address: 'The house',
  unit: 'in',
  seq: 3,
  stages: [],
  rooms: [room(1), room(2)],
} as unknown as JobView;

let place: HTMLElement;
let asked: string[];
beforeEach(() => {
  asked = [];
  vi.stubGlobal('scrollTo', () => undefined);
  vi.stubGlobal('fetch', (path: string) => {
    asked.push(path);
    return path.includes('/history')
      ? Promise.resolve(Response.json({ entries: [], more: false }))
      : Promise.reject(new Error('no signal'));
  });
  jobCell('job').value = { view: job };
  place = document.body.appendChild(document.createElement('div'));
});
afterEach(() => {
  render(null, place);
  place.remove();
  vi.unstubAllGlobals();
});
const settled = () => new Promise((resolve) => setTimeout(resolve, 20));
const show = (screen: preact.ComponentChild) =>
  act(async () => {
    render(screen, place);
    await settled();
  });
const go = (path: string) =>
  act(async () => {
    goTo(path);
    await settled();
  });
const history = () => asked.filter((path) => path.includes('/history'));

it('an entry found while the log is open filters it', async () => {
  goTo('/board/jobs/job/log');
  await show(<Log job="job" />);
  await vi.waitFor(() => expect(history()).toEqual(['/api/v1/jobs/job/history']));
  await go(`/board/jobs/job/log?room=${id(2)}`);
  expect(history().at(-1)).toBe(`/api/v1/jobs/job/history?room=${id(2)}`);
  const rooms = place.querySelectorAll('select')[1];
  expect(rooms?.value).toBe(id(2));

  // Chosen by hand, the address says so, and what was found can be found once more.
  await act(async () => {
    if (rooms === undefined) throw new Error('no rooms');
    rooms.value = id(1);
    rooms.dispatchEvent(new Event('change', { bubbles: true }));
    await settled();
  });
  expect(location.search).toBe(`?room=${id(1)}`);
  const before = history().length;
  await go(`/board/jobs/job/log?room=${id(2)}`);
  expect(history()).toHaveLength(before + 1);
  expect(rooms?.value).toBe(id(2));
});

const chosen = () => place.querySelector('.house-side')?.getAttribute('aria-label');

it('what the board was opened on is found again after something else was chosen', async () => {
  goTo(`/board/jobs/job#room-${id(1)}`);
  await show(<Rooms job="job" />);
  expect(chosen()).toBe('Room 1');
  await act(async () => {
    document.dispatchEvent(new KeyboardEvent('keydown', { key: 'Escape' }));
    await settled();
  });
  expect(chosen()).not.toBe('Room 1');
  expect(hash.value).toBe('');
  await go(`/board/jobs/job#room-${id(1)}`);
  expect(chosen()).toBe('Room 1');
  await go(`/board/jobs/job#room-${id(2)}`);
  expect(chosen()).toBe('Room 2');
});
