import { describe, expect, it } from 'vitest';
import type { JobView, PoleView } from '../src/api/views.ts';
import { dayOfPerson, unassigned } from '../src/board/day.ts';
import { filtered } from '../src/board/filter.ts';
import { asCsv, base64 } from '../src/board/table-text.ts';

function pole(id: string, room: string, more: Partial<PoleView> = {}): PoleView {
  const marks = [{ stage: 'hung', label: 'hung', status: 'open' }] as PoleView['marks'];
  const at: Partial<PoleView> = { next: 'hung', next_label: 'hung', held: false, turn: 2 };
  return { id, room_id: room, name: id, marks, ...at, ...more } as PoleView;
}

const ready = {
  marks: [{ stage: 'hung', label: 'hung', status: 'ready' }] as PoleView['marks'],
  turn: 0,
};

const job = {
  id: 'j',
  rooms: [
    {
      id: 'a',
      items: [
        pole('a1', 'a', { assigned_to: 'bo', held: true, turn: 3 }),
        pole('a2', 'a', { assigned_to: 'bo', ...ready }),
        pole('a3', 'a', { assigned_to: 'ana' }),
      ],
    },
    {
      id: 'b',
      items: [
        pole('b1', 'b', {
          assigned_to: 'bo',
          held: true,
          clears_at: '2026-03-01T10:00:00Z',
          turn: 1_772_359_200,
        }),
        pole('b2', 'b', { assigned_to: 'bo' }),
        pole('b3', 'b', { next: 'painted' }),
      ],
    },
  ],
} as unknown as JobView;

describe('a board', () => {
  it('shows what a person has, what is at a stage, what is held', () => {
    const shown = (how: Parameters<typeof filtered>[1]) =>
      filtered(job, how).rooms.map(({ items }) => items.map(({ id }) => id));
    expect(shown({ person: 'ana' })).toEqual([['a3']]);
    expect(shown({ person: '' })).toEqual([['b3']]);
    expect(shown({ stage: 'painted' })).toEqual([['b3']]);
    expect(shown({ standing: 'held', person: 'bo' })).toEqual([['a1'], ['b1']]);
    expect(filtered(job, {})).toBe(job);
  });

  it('puts a day in order: what can be done, then what goes on, what is held, what dries', () => {
    expect(dayOfPerson(job, 'bo').map(({ id }) => id)).toEqual(['a2', 'b2', 'a1', 'b1']);
    expect(unassigned(job).map(({ id }) => id)).toEqual(['b3']);
  });
});

describe('a table that is sent again', () => {
  it('keeps every cell by itself, whatever is in it', () => {
    const bytes = asCsv([
      ['room', 'width'],
      ['Den, "north"', '79 5/8"'],
    ]);
    expect(new TextDecoder().decode(bytes)).toBe('"room","width"\n"Den, ""north""","79 5/8"""');
    expect(atob(base64(bytes)).length).toBe(bytes.length);
  });
});
