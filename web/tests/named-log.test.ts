import { expect, it } from 'vitest';
import type { EntryView } from '../src/api/views.ts';
import { namedLog } from '../src/live/named-log.ts';
import type { Entry } from '../src/rulebook/jobs.ts';

const said = (sentence: string) => ({ sentence }) as EntryView;
const gave = (to?: string) =>
  ({ command: to === undefined ? {} : { assign: { person_id: to } } }) as Entry;
const nameOf = (id: string) => (id === 'p1' ? 'Rosa Quint' : '');

it("says on the device's own log whom work was given to", () => {
  const views = ['Assigned.', 'Assigned.', 'Assignment taken back.', 'Measured.'].map(said);
  const entries = ['p1', 'a stranger', '', undefined].map((to) => gave(to));
  expect(namedLog(views, entries, nameOf).map(({ sentence }) => sentence)).toEqual([
    'Assigned to Rosa Quint.',
    'Assigned.',
    'Assignment taken back.',
    'Measured.',
  ]);
});
