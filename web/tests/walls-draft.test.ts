import { describe, expect, it } from 'vitest';
import type { ItemView, JobView, ReadingView, RoomView } from '../src/api/views.ts';
import { inTurn, rulesAt, tryOut } from '../src/board/draft-room.ts';
import { changeProfile, changeRun, clean, newRun } from '../src/board/run-spec.ts';
import {
  changesTo,
  changeWall,
  type Draft,
  draftOf,
  emptyDraft,
  insertWall,
  newWall,
  readingsOf,
  removeWall,
  wallsOf,
} from '../src/board/walls-draft.ts';
import { setCompany } from '../src/live/eyes.ts';
import type { Decision, Jobs } from '../src/rulebook/jobs.ts';

const inch = 25_400_000;

function reading(name: string, value: number, ...takes: string[]): ReadingView {
  return {
    name,
    label: name,
    required: name.endsWith('_length'),
    signed: false,
    state: 'taken',
    of_room: true,
    value,
    takes: takes.map((command_id) => ({ command_id, value, text: '', counts: true })),
  } as unknown as ReadingView;
}

/** Three walls, the first with a door on it, the second with a gauge's reading. */
function room(): RoomView {
  return {
    id: 'r',
    name: 'Den',
    layout: {
      walls: { walls: [{ length: 0 }, { length: 0, turn: 'outside' }, { length: 0 }] },
      features: [{ wall: 1, kind: 'opening', offset: 10 * inch, width: 30 * inch }],
    },
    plan: {
      readings: [
        reading('wall_1_length', 100 * inch, 'a'),
        reading('wall_2_length', 50 * inch, 'b'),
        reading('wall_2_angle', 135_000, 'g'),
        { ...reading('wall_3_length', 0, 'c', 'd'), state: 'disagree', value: undefined },
      ],
    },
  } as unknown as RoomView;
}

describe('walls as they are set up', () => {
  it('begins with the room as it stands', () => {
    const draft = draftOf(room());
    expect(draft.walls.map(({ length, turn, angle }) => [length, turn, angle])).toEqual([
      [100 * inch, 'inside', 90_000],
      [50 * inch, 'outside', 135_000],
      [null, 'inside', 90_000],
    ]);
    expect(draftOf({ ...room(), layout: undefined } as unknown as RoomView)).toEqual(emptyDraft);
  });

  it('lays out corners and reads lengths, as the commands keep them apart', () => {
    const draft = draftOf(room());
    expect(wallsOf(draft).walls.walls).toEqual([
      { length: 0, turn: 'inside' },
      { length: 0, turn: 'outside', angle: 135_000 },
      { length: 0, turn: 'inside' },
    ]);
    expect(readingsOf(draft)).toEqual([
      { reading: 'wall_1_length', value: 100 * inch, tool: 'tape' },
      { reading: 'wall_2_length', value: 50 * inch, tool: 'tape' },
    ]);
  });

  it('says which wall is which, so that a choice stays with its walls', () => {
    const draft = draftOf(room());
    expect(wallsOf(draft).was).toEqual([1, 2, 3]);
    expect(wallsOf(insertWall(draft, 1)).was).toEqual([1, 0, 2, 3]);
    expect(wallsOf(removeWall(draft, 0)).was).toEqual([2, 3]);
    // A room laid out for the first time has no walls to say it of.
    expect(wallsOf({ ...emptyDraft, walls: [newWall, newWall] }).was).toBeUndefined();
  });

  it('sends nothing of what has not changed', () => {
    expect(changesTo(room(), draftOf(room()))).toEqual({ withdraw: [], take: [] });
  });

  it('withdraws the take it replaces, and the gauge where the corner is laid out anew', () => {
    let draft = changeWall(draftOf(room()), 0, { length: 101 * inch });
    draft = changeWall(draft, 1, { angle: 90_000 });
    expect(changesTo(room(), draft)).toEqual({
      withdraw: ['a', 'g'],
      take: [{ reading: 'wall_1_length', value: 101 * inch, tool: 'tape' }],
    });
  });

  it('leaves takes that disagree to whoever taped them, unless it is taped here', () => {
    const draft = changeWall(draftOf(room()), 2, { length: 70 * inch });
    expect(changesTo(room(), draft).withdraw).toEqual(['c', 'd']);
  });

  it('moves what stands on a wall, and its readings, with the wall', () => {
    const put = insertWall(draftOf(room()), 0);
    expect(put.walls[0]).toEqual(newWall);
    expect(put.features[0]?.wall).toBe(2);
    // The first wall is new and not taped: what was read of it belongs to the second now.
    const sent = changesTo(room(), put);
    expect(sent.withdraw).toEqual(['a', 'b', 'g', 'c', 'd']);
    expect(sent.take).toEqual([
      { reading: 'wall_2_length', value: 100 * inch, tool: 'tape' },
      { reading: 'wall_3_length', value: 50 * inch, tool: 'tape' },
    ]);
    const out = removeWall(draftOf(room()), 0);
    expect(out.features).toEqual([]);
    expect(out.walls).toHaveLength(2);
  });
});

describe('a run as it is set up', () => {
  it('leaves out what was set back to the rule book’s own', () => {
    const draft = changeProfile(newRun('base', 'Den base'), { thickness: 15 * 1_587_500 });
    expect(draft.spec.run?.profile.thickness).toBe(15 * 1_587_500);
    const corners = { inside: undefined, scarf_angle: 45_000 };
    expect(clean(corners)).toEqual({ scarf_angle: 45_000 });
    expect(changeRun(draft, (run) => ({ ...run, material: 'mdf' })).spec.run?.material).toBe('mdf');
  });

  it('begins crown with a spring and shoe with the base behind it', () => {
    expect(newRun('crown', '').spec.run?.profile.spring).toBe(38_000);
    expect(newRun('shoe', '').spec.run?.profile.stands_off).toBe(9 * 1_587_500);
    expect(newRun('base', '').spec.run?.profile.spring).toBeUndefined();
  });
});

describe('trying a room out in the rule book', () => {
  it('gives the commands that will be sent, in their order, and shows what came of them', async () => {
    const given: string[] = [];
    const byRules: unknown[] = [];
    const jobs = {
      open: () => Promise.resolve(0),
      decide: (
        _: string,
        { command, company }: { command: { kind: string }; company: unknown },
      ): Promise<Decision> => {
        given.push(command.kind);
        byRules.push(company);
        const refused = command.kind === 'set_walls';
        return Promise.resolve({
          refused,
          entries: [],
          findings: refused ? [{ code: 'room_walls_many', severity: 'stop' }] : [],
        } as unknown as Decision);
      },
      viewJob: (_: string, company: unknown) => {
        byRules.push(company);
        return Promise.resolve({ rooms: [{ items: [] }] } as unknown as JobView);
      },
      viewItem: () => Promise.reject(new Error('no item was taken up')),
    } as unknown as Jobs;
    const draft: Draft = { ...emptyDraft, walls: [{ ...newWall, length: inch, stud: 5 }] };
    const rules = { reveal: 3 };
    const tried = await tryOut('in', rules, 'Den', draft, newRun('base', 'Den base'), jobs);
    expect(byRules).toEqual(Array.from({ length: 7 }, () => rules));
    expect(given).toEqual([
      'create_job',
      'add_room',
      'set_walls',
      'take_reading',
      'take_reading',
      'add_item',
    ]);
    expect(tried.refused.map(({ code }) => code)).toEqual(['room_walls_many']);
    expect(tried.run).toBeUndefined();
  });

  it('goes by the rules of the room, and of the item where there is one', () => {
    setCompany({ coats: 3, reveal: 4_762_500, scarf_angle: 1 });
    const job = { rules: { reveal: 6_350_000, casing_gap: 1 } };
    expect(rulesAt(job, { rules: { casing_gap: 2 } })).toEqual({
      coats: 3,
      reveal: 6_350_000,
      scarf_angle: 1,
      casing_gap: 2,
    });
    const item = {
      rules: [
        { key: 'reveal', kind: 'length', value: 3_175_000, origin: 'item' },
        { key: 'coats', kind: 'count', value: 3, origin: 'company' },
        { key: 'casing_gap', kind: 'length', value: 5, origin: 'built_in' },
      ],
    } as Pick<ItemView, 'rules'>;
    expect(rulesAt(job, {}, item)).toEqual({ reveal: 3_175_000, coats: 3 });
    setCompany({});
  });

  it('answers the last change, not every one', async () => {
    const asked: number[] = [];
    const told: number[] = [];
    let release: () => void = () => {};
    const ask = inTurn(
      (n: number) => {
        asked.push(n);
        return new Promise<number>((resolve) => {
          release = () => resolve(n);
        });
      },
      (n) => told.push(n),
    );
    ask(1);
    ask(2);
    ask(3);
    release();
    await Promise.resolve();
    await Promise.resolve();
    await Promise.resolve();
    release();
    await Promise.resolve();
    await Promise.resolve();
    await Promise.resolve();
    expect(asked).toEqual([1, 3]);
    expect(told).toEqual([1, 3]);
  });
});
