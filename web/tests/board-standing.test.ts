import { describe, expect, it } from 'vitest';
import type { JobView, PoleMark, PoleView, RoomView } from '../src/api/views.ts';
import { latest, merge } from '../src/board/changes.ts';
import { heldIn, polesOf, readyIn, standingOf, tally } from '../src/board/standing.ts';

const stages = ['measured', 'trimmed', 'hung'] as const;

/** A pole by its marks' first letters, from the floor up: d done, r ready, h held, o open, x redone. */
const pole = (id: string, marks: string, more: Partial<PoleView> = {}): PoleView => {
  const status = { d: 'done', r: 'ready', h: 'held', o: 'open', x: 'redone' } as const;
  const list = [...marks].map((letter, at): PoleMark => {
    const stage = stages[at] ?? 'hung';
    return { stage, label: stage, status: status[letter as keyof typeof status] };
  });
  const next = list.find(({ status: each }) => each !== 'done');
  return {
    id,
    room_id: 'room',
    name: id,
    kind_label: 'door',
    through_seq: 1,
    marks: list,
    held: marks.includes('h'),
    turn: marks.includes('h') ? 3 : marks.includes('x') ? 1 : marks.includes('r') ? 0 : 2,
    ...(next === undefined ? {} : { next: next.stage, next_label: next.label }),
    ...more,
  };
};
const house = (seq: number, items: PoleView[], more: Partial<RoomView> = {}): JobView => ({
  id: 'job',
  name: 'Job',
  unit: 'in',
  seq,
  stages: [],
  rooms: [
    {
      id: 'room',
      name: 'Den',
      level: 'ground',
      level_label: 'ground',
      added_seq: 1,
      items,
      ...more,
    },
  ],
});

describe('where openings stand', () => {
  it('is told by the most pressing mark', () => {
    expect(standingOf(pole('a', 'ddd'))).toBe('done');
    expect(standingOf(pole('a', 'dro'))).toBe('ready');
    expect(standingOf(pole('a', 'doo'))).toBe('going');
    expect(standingOf(pole('a', 'dxo'))).toBe('redo');
    expect(standingOf(pole('a', 'dxh'))).toBe('held');
  });

  it('sums up as done of all, and held', () => {
    const items = [pole('a', 'ddd'), pole('b', 'dho'), pole('c', 'roo'), pole('d', 'hoo')];
    expect(tally(items)).toEqual({ total: 4, done: 1, held: 2 });
    expect(tally([])).toEqual({ total: 0, done: 0, held: 0 });
  });

  it('lists what is held with what time alone clears at the end, the soonest first', () => {
    const job = house(1, [
      pole('later', 'h', { clears_at: '2026-11-25T15:00:00Z', turn: 1_795_618_800 }),
      pole('sooner', 'h', { clears_at: '2026-11-25T14:00:00Z', turn: 1_795_615_200 }),
      pole('mistake', 'h'),
      pole('fine', 'r'),
    ]);
    expect(heldIn(job).map(({ id }) => id)).toEqual(['mistake', 'sooner', 'later']);
  });

  it('lists what can go on: ticks first, then what is to redo, then open work', () => {
    const job = house(1, [
      pole('open', 'doo'),
      pole('done', 'ddd'),
      pole('held', 'dho'),
      pole('redo', 'dxo'),
      pole('tick', 'dro'),
    ]);
    expect(readyIn(job).map(({ id }) => id)).toEqual(['tick', 'redo', 'open']);
  });
});

describe('a newer view laid over the one shown', () => {
  it('keeps the identity of what did not change', () => {
    const before = house(5, [pole('a', 'doo'), pole('b', 'roo')]);
    const after = house(6, [pole('a', 'doo'), pole('b', 'doo', { through_seq: 6 })]);
    const { job } = merge(before, after);
    expect(job.rooms[0]?.items[0]).toBe(before.rooms[0]?.items[0]);
    expect(job.rooms[0]?.items[1]).toBe(after.rooms[0]?.items[1]);
    expect(merge(before, house(5, [pole('a', 'doo'), pole('b', 'roo')])).job.rooms[0]).toBe(
      before.rooms[0],
    );
  });

  it('leaves out an answer that was overtaken', () => {
    const before = house(9, [pole('a', 'ddd')]);
    const { job, changes } = merge(before, house(8, [pole('a', 'ddr')]));
    expect(job).toBe(before);
    expect(changes).toEqual([]);
  });

  it('says nothing of the first view, and of another job', () => {
    expect(merge(null, house(3, [pole('a', 'ddd')])).changes).toEqual([]);
    const other = { ...house(1, [pole('z', 'ddd')]), id: 'other' };
    expect(merge(house(3, [pole('a', 'ddd')]), other)).toEqual({ job: other, changes: [] });
  });

  const came = (was: string, is: string) => {
    const { changes } = merge(
      house(1, [pole('a', was)]),
      house(2, [pole('a', is, { through_seq: 2 })]),
    );
    return changes.map(({ what, stage }) => `${what} ${stage ?? ''}`.trim());
  };
  it('says the most telling thing of each pole', () => {
    expect(came('roo', 'dro')).toEqual(['done measured']);
    expect(came('dro', 'ddr')).toEqual(['done trimmed']);
    expect(came('doo', 'dro')).toEqual(['ready trimmed']);
    expect(came('dro', 'dho')).toEqual(['held trimmed']);
    expect(came('dho', 'doo')).toEqual(['cleared']);
    expect(came('ddd', 'dxx')).toEqual(['redo hung']);
    expect(came('doo', 'doo')).toEqual(['touched']);
  });

  it('tells a new opening and a new room', () => {
    const before = house(1, [pole('a', 'ooo')]);
    const after = house(3, [pole('a', 'ooo'), pole('b', 'ooo', { through_seq: 3 })]);
    expect(merge(before, after).changes.map(({ id, what }) => [id, what])).toEqual([
      ['b', 'added'],
    ]);
    const more: JobView = {
      ...after,
      rooms: [
        ...after.rooms,
        { ...(after.rooms[0] as RoomView), id: 'new', name: 'Hall', items: [] },
      ],
    };
    expect(merge(after, more).changes.map(({ id, what }) => [id, what])).toEqual([
      ['new', 'added'],
    ]);
  });

  it('tells a room given out once, and not again of each opening in it', () => {
    const before = house(1, [pole('a', 'ooo'), pole('b', 'ooo')]);
    const given = { assigned_to: 'marco' };
    const after = house(2, [pole('a', 'ooo', given), pole('b', 'ooo', given)], given);
    expect(merge(before, after).changes).toEqual([
      { seq: 2, id: 'room', name: 'Den', what: 'given', person: 'marco' },
    ]);
    const alone = house(2, [pole('a', 'ooo', given), pole('b', 'ooo')]);
    expect(merge(before, alone).changes.map(({ id, what }) => [id, what])).toEqual([
      ['a', 'given'],
    ]);
  });

  it('keeps the newest changes, one a thing', () => {
    const change = (seq: number, id: string) => ({ seq, id, name: id, what: 'touched' as const });
    const kept = latest([change(3, 'a'), change(2, 'b')], [change(4, 'b'), change(5, 'c')], 3);
    expect(kept.map(({ seq, id }) => [seq, id])).toEqual([
      [5, 'c'],
      [4, 'b'],
      [3, 'a'],
    ]);
    expect(latest(kept, [change(6, 'd')], 3)).toHaveLength(3);
  });

  it('counts every opening of every room', () => {
    expect(polesOf(house(1, [pole('a', 'd'), pole('b', 'd')])).map(({ id }) => id)).toEqual([
      'a',
      'b',
    ]);
  });
});
