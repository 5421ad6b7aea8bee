import { describe, expect, it } from 'vitest';
import type { PoleView, RoomView } from '../src/api/views.ts';
import { storeys } from '../src/board/rows.ts';
import { firstPlace, hasPlace, type Place, walk } from '../src/board/walk.ts';

const room = (name: string, level: RoomView['level'], openings: number): RoomView => ({
  id: name,
  name,
  level,
  level_label: level,
  added_seq: 1,
  items: Array.from(
    { length: openings },
    (_, at): PoleView => ({
      id: `${name}${at + 1}`,
      room_id: name,
      name: `${name} ${at + 1}`,
      kind_label: 'door',
      through_seq: 1,
      marks: [],
      held: false,
      turn: 2,
    }),
  ),
});

// upstairs: a1 a2 | b1 b2      ground: c1 c2 c3 | d (no openings) | e1
const house = storeys(
  [
    room('a', 'upper', 2),
    room('b', 'upper', 2),
    room('c', 'ground', 3),
    room('d', 'ground', 0),
    room('e', 'ground', 1),
  ],
  { capacity: 12, gap: 0.3, least: 1 },
);
const at = (name: string): Place => ({ kind: /\d/.test(name) ? 'pole' : 'room', id: name });
const go = (from: string, ...keys: string[]): string => {
  let here = at(from);
  for (const key of keys) {
    const [name, control] = key.startsWith('^') ? [key.slice(1), true] : [key, false];
    here = walk(house, here, name, control) ?? here;
  }
  return here.id;
};

describe('walking the board by keys', () => {
  it('begins at the first pole', () => {
    expect(firstPlace(house)).toEqual(at('a1'));
  });

  it('goes along a row over the rooms, and on into the next row of poles', () => {
    expect(go('a1', 'ArrowRight')).toBe('a2');
    expect(go('a2', 'ArrowRight')).toBe('b1');
    expect(go('b2', 'ArrowRight')).toBe('c1');
    expect(go('c1', 'ArrowLeft')).toBe('b2');
  });

  it('stops at the ends', () => {
    expect(walk(house, at('a1'), 'ArrowLeft')).toBeNull();
    expect(walk(house, at('e1'), 'ArrowRight')).toBeNull();
    expect(walk(house, at('a1'), 'ArrowUp')).toBeNull();
    expect(walk(house, at('e'), 'ArrowDown')).toBeNull();
  });

  it('goes down to the room under a pole, then to the pole nearest below', () => {
    expect(go('b1', 'ArrowDown')).toBe('b');
    expect(go('b1', 'ArrowDown', 'ArrowDown')).toBe('c3');
    expect(go('a1', 'ArrowDown', 'ArrowDown')).toBe('c1');
  });

  it('reaches a room that has no openings along the names', () => {
    expect(go('c', 'ArrowRight')).toBe('d');
    expect(go('d', 'ArrowUp')).toBe('c3');
  });

  it('takes Home and End to a row, with Control to the house', () => {
    expect(go('b1', 'Home')).toBe('a1');
    expect(go('c2', 'End')).toBe('e1');
    expect(go('c2', '^Home')).toBe('a1');
    expect(go('a1', '^End')).toBe('e');
  });

  it('leaves other keys alone, and finds its way back when a pole is gone', () => {
    expect(walk(house, at('a1'), 'x')).toBeNull();
    expect(walk(house, at('z9'), 'ArrowRight')).toEqual(at('a1'));
    expect(hasPlace(house, at('z9'))).toBe(false);
    expect(hasPlace(house, at('d'))).toBe(true);
  });
});
