import { render } from 'preact';
import { act } from 'preact/test-utils';
import { afterEach, expect, it, vi } from 'vitest';
import type { JobLine, JobView, Me, PoleView } from '../src/api/views.ts';
import { Home } from '../src/bench/home.tsx';
import { jobCell, jobsShown } from '../src/live/shown.ts';
import { session } from '../src/sign-in/session.ts';

const job = '018f0000-0000-7000-8000-000000000001';
const box = document.body.appendChild(document.createElement('div'));

afterEach(() => act(() => render(null, box)));

const pole = (name: string, turn: number, more: Partial<PoleView> = {}) =>
  ({
    id: name,
    name,
    turn,
    held: false,
    next: 'caulked',
    marks: [],
    assigned_to: 'marco',
    ...more,
  }) as unknown as PoleView;

it("what is next stands in the rule book's order of a day", () => {
  vi.stubGlobal('fetch', () => Promise.reject(new TypeError('Failed to fetch')));
  session.value = { state: 'in', me: { person_id: 'marco', role: 'installer' } as Me };
  jobsShown.value = { view: [{ id: job }] as unknown as JobLine[] };
  const items = [
    pole('dries late', 1_800_000_900, { held: true, clears_at: '2027-01-15T08:15:00Z' }),
    pole('dries soon', 1_800_000_000, { held: true, clears_at: '2027-01-15T08:00:00Z' }),
    pole('held', 3, { held: true }),
    pole('going on', 2),
    pole('to be done again', 1),
    pole('ready', 0),
  ];
  const view = { id: job, name: 'Sill Street', rooms: [{ id: 'room', name: 'Hall', items }] };
  jobCell(job).value = { view: view as unknown as JobView };
  act(() => render(<Home />, box));
  const named = [...box.querySelectorAll('.next-of')].map((line) => line.firstChild?.textContent);
  expect(named).toEqual([
    'ready',
    'to be done again',
    'going on',
    'held',
    'dries soon',
    'dries late',
  ]);
});
