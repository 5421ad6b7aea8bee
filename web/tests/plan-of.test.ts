import { expect, test } from 'vitest';
import type { RoomView } from '../src/api/views.ts';
import { askFor, chosenBy, saidOf } from '../src/saw/plan-of.tsx';

const room = (id: string, ...items: string[]) =>
  ({
    id,
    name: id.toUpperCase(),
    items: items.map((item) => ({ id: item, name: item.toUpperCase() })),
  }) as unknown as RoomView;
const rooms = [room('hall', 'door', 'base'), room('bath', 'window'), room('attic')];

test('all of a job is asked for by asking for nothing', () => {
  expect([...chosenBy(undefined, rooms)]).toEqual(['door', 'base', 'window']);
  expect([...chosenBy({ rooms: [], items: [] }, rooms)]).toHaveLength(3);
  expect(askFor(new Set(['door', 'base', 'window']), rooms)).toEqual({});
  expect(saidOf({}, rooms)).toBe('');
});

test('whole rooms by their room, so that what is added to them later is planned too', () => {
  expect(askFor(new Set(['door', 'base']), rooms)).toEqual({ rooms: ['hall'] });
  expect(askFor(new Set(['base', 'window']), rooms)).toEqual({ rooms: ['bath'], items: ['base'] });
  expect(askFor(new Set(['base']), rooms)).toEqual({ items: ['base'] });
});

test('an ask chooses what it says and is said as it was chosen', () => {
  const ask = { rooms: ['bath'], items: ['base'] };
  expect([...chosenBy(ask, rooms)]).toEqual(['base', 'window']);
  expect(askFor(chosenBy(ask, rooms), rooms)).toEqual(ask);
  expect(saidOf(ask, rooms)).toBe('BASE, BATH');
});
