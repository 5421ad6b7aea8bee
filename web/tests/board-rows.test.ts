import { describe, expect, it } from 'vitest';
import type { PoleView, RoomView } from '../src/api/views.ts';
import { layOut, longest, scaleFor, scaleForPaper, storeys } from '../src/board/rows.ts';

let made = 0;
const pole = (room: string): PoleView => {
  made += 1;
  return {
    id: `pole-${made}`,
    room_id: room,
    name: `Opening ${made}`,
    kind_label: 'door',
    through_seq: 1,
    marks: [],
    held: false,
    turn: 2,
  };
};
const room = (name: string, level: RoomView['level'], openings: number): RoomView => ({
  id: name,
  name,
  level,
  level_label: level,
  added_seq: 1,
  items: Array.from({ length: openings }, () => pole(name)),
});
const shape = (rooms: RoomView[], capacity: number, gap = 0.5, least = 1) =>
  storeys(rooms, { capacity, gap, least }).map(({ level, rows }) => [
    level,
    rows.map(({ stretches }) =>
      stretches.map((each) => `${each.room.name} ${each.items.length}${each.continued ? '…' : ''}`),
    ),
  ]);

describe('rooms on their storeys', () => {
  it('stand as in a section: the roof first, each storey in the order rooms were added', () => {
    const rooms = [
      room('cellar', 'basement', 1),
      room('hall', 'ground', 2),
      room('attic', 'upper', 1),
      room('kitchen', 'ground', 1),
    ];
    expect(shape(rooms, 10)).toEqual([
      ['upper', [['attic 1']]],
      ['ground', [['hall 2', 'kitchen 1']]],
      ['basement', [['cellar 1']]],
    ]);
  });

  it('go to the next row whole, counting the length left open between two', () => {
    const rooms = [room('a', 'ground', 2), room('b', 'ground', 2), room('c', 'ground', 1)];
    expect(shape(rooms, 4.5)).toEqual([['ground', [['a 2', 'b 2'], ['c 1']]]]);
    expect(shape(rooms, 4.4)).toEqual([['ground', [['a 2'], ['b 2', 'c 1']]]]);
  });

  it('are parted only where a room is longer than a row, and the next room follows its rest', () => {
    const rooms = [
      room('small', 'ground', 1),
      room('long', 'ground', 7),
      room('next', 'ground', 1),
    ];
    expect(shape(rooms, 3)).toEqual([
      ['ground', [['small 1'], ['long 3'], ['long 3…'], ['long 1…', 'next 1']]],
    ]);
  });

  it('keep a place for a name without openings, on a row of any length', () => {
    expect(shape([room('empty', 'ground', 0)], 0.4, 0.3, 4)).toEqual([['ground', [['empty 0']]]]);
    const [storey] = storeys([room('empty', 'ground', 0)], { capacity: 9, gap: 0.3, least: 4 });
    expect(storey?.rows[0]?.stretches[0]?.width).toBe(4);
  });

  it('lose and repeat no opening in a large house', () => {
    const rooms = Array.from({ length: 40 }, (_, at) =>
      room(
        `room ${at}`,
        (['upper', 'ground', 'basement'] as const)[at % 3] ?? 'ground',
        (at * 7) % 17,
      ),
    );
    const laid = layOut(rooms, 700, scaleFor(300, 780));
    const stood = laid.house.flatMap(({ rows }) =>
      rows.flatMap(({ stretches }) => stretches.flatMap(({ items }) => items.map(({ id }) => id))),
    );
    const all = rooms.flatMap(({ items }) => items.map(({ id }) => id));
    expect([...stood].sort()).toEqual([...all].sort());
    expect(longest(laid.house) * laid.column).toBeLessThanOrEqual(700);
  });
});

describe('how wide poles stand', () => {
  it('few have room for words, many close up, a phone is never roomy', () => {
    expect(scaleFor(9, 800).name).toBe('roomy');
    expect(scaleFor(9, 390).name).toBe('plain');
    expect(scaleFor(40, 800).name).toBe('plain');
    expect(scaleFor(300, 390).name).toBe('close');
  });

  it('no row is wider than the screen, from a phone up', () => {
    for (const width of [280, 330, 600, 800, 1200]) {
      for (const openings of [1, 4, 9, 18, 19, 60, 61]) {
        const rooms = [room('one', 'upper', openings), room('two', 'upper', 3)];
        const laid = layOut(rooms, width, scaleFor(openings + 3, width));
        const wide = longest(laid.house) * laid.column;
        expect(wide, `${openings} openings in ${width} px`).toBeLessThanOrEqual(width);
      }
    }
  });

  it('paper closes them up sooner', () => {
    expect(scaleForPaper(9).rise).toBeLessThan(scaleFor(9, 979).rise);
    expect(scaleForPaper(300).rise).toBeLessThan(scaleFor(300, 979).rise);
  });
});
