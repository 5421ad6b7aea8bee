import { describe, expect, it } from 'vitest';
import { command } from '../src/api/command.ts';
import type { ItemView, JobView } from '../src/api/views.ts';
import { rowOf } from '../src/live/outbox.ts';
import {
  disagreements,
  lookForDisagreements,
  newsBetween,
  standingOf,
} from '../src/live/overtaken.ts';
import { news, refusals, returnsOf, takeAnswer } from '../src/live/returned.ts';

const job = '018f0000-0000-7000-8000-000000000001';
const door = '018f0000-0000-7000-8000-000000000002';
const marco = 'marco';

const row = rowOf(command('tick_stage', { job, item: door }, { stage: 'hung' }), marco, {
  said: 'Linen closet door, hung ticked',
});

const take = (person: string, value: number) => ({
  command_id: `${person} ${value}`,
  seq: 1,
  person_id: person,
  at: '2026-03-12T09:00:00Z',
  reading: 'width_top',
  value,
  text: String(value),
  counts: false,
});

function looks(view: Partial<ItemView> | null) {
  return {
    viewItem: async () =>
      view === null ? null : ({ id: door, readings: [], ...view } as ItemView),
    viewJob: async () =>
      ({
        rooms: [{ items: [{ id: door, held: true, assigned_to: marco }] }],
      }) as unknown as JobView,
  };
}

describe('work that was overtaken', () => {
  const standing = (view: Partial<ItemView> | null) => standingOf(looks(view).viewItem, job, [row]);

  it('is told when the item went to someone else, or back to nobody', async () => {
    const before = await standing({ assigned_to: marco });
    const given = newsBetween(before, await standing({ assigned_to: 'tess' }), [row], marco);
    expect(given).toMatchObject([{ kind: 'reassigned', who: 'tess', said: row.said }]);
    const back = newsBetween(before, await standing({}), [row], marco);
    expect(back).toMatchObject([{ kind: 'reassigned' }]);
    expect(back[0]).not.toHaveProperty('who');
  });

  it('is told when the item was taken off the job, once', async () => {
    const removed = { reason: 'x' } as NonNullable<ItemView['removed']>;
    const before = await standing({ assigned_to: marco });
    const gone = await standing({ assigned_to: marco, removed });
    expect(newsBetween(before, gone, [row], marco)).toMatchObject([{ kind: 'removed' }]);
    expect(newsBetween(gone, gone, [row], marco)).toEqual([]);
  });

  it('is not told of what stayed as it was, or was never theirs', async () => {
    const mine = await standing({ assigned_to: marco });
    expect(newsBetween(mine, mine, [row], marco)).toEqual([]);
    const hers = await standing({ assigned_to: 'tess' });
    expect(newsBetween(hers, await standing({}), [row], marco)).toEqual([]);
    expect(newsBetween(await standing(null), mine, [row], marco)).toEqual([]);
  });

  it('is not told of what they planned themselves', async () => {
    const given = rowOf(command('assign', { job, item: door }, { person_id: 'tess' }), marco, {
      said: '',
    });
    const { viewItem } = looks({ assigned_to: marco });
    expect((await standingOf(viewItem, job, [row, given])).size).toBe(0);
  });

  it('of two ticks of one stage the second is no refusal; of anything else it is', async () => {
    await returnsOf('');
    const answer = (code: string) => ({
      outcomes: [
        { command_id: row.id, applied: false, findings: [{ code, severity: 'stop' as const }] },
      ],
      seq: 9,
      server_time: '2026-03-12T09:00:00Z',
    });
    const crossed = takeAnswer(answer('already_done'), [row]);
    expect(crossed.refused).toEqual([]);
    expect(crossed.news).toMatchObject([{ kind: 'tick_crossed', stage: 'hung' }]);
    expect(news.value).toHaveLength(1);
    const refused = takeAnswer(answer('job_gone'), [row]);
    expect(refused.refused).toMatchObject([{ id: row.id, by: 'log', away: false }]);
    expect(refusals.value).toHaveLength(1);
  });
});

describe('takes that disagree', () => {
  const apart = {
    name: 'width_top',
    state: 'disagree',
    takes: [take(marco, 1), take('tess', 2)],
  } as unknown as ItemView['readings'][number];
  const found = () => [...disagreements.value.values()].flat().map(({ reading }) => reading.name);

  it('are shown to whoever has the item and to whoever taped it, until they agree', async () => {
    await lookForDisagreements(looks({ assigned_to: marco, readings: [apart] }), job, null, marco);
    expect(found()).toEqual(['width_top']);
    await lookForDisagreements(looks({ readings: [] }), job, [door], marco);
    expect(found()).toEqual([]);
    await lookForDisagreements(looks({ readings: [apart] }), job, [door], 'tess');
    expect(found()).toEqual(['width_top']);
    await lookForDisagreements(looks({ readings: [apart] }), job, [door], 'ruth');
    expect(found()).toEqual([]);
  });

  it('are found again at the next start, by whoever taped it too', async () => {
    await lookForDisagreements(looks({ readings: [] }), job, [door], marco);
    await lookForDisagreements(looks({ assigned_to: marco, readings: [apart] }), job, null, 'tess');
    expect(found()).toEqual(['width_top']);
  });

  it('are not lost to a look at other items that began earlier and ended later', async () => {
    await lookForDisagreements(looks({ readings: [] }), job, [door], marco);
    let answer = (_: ItemView | null) => {};
    const slow = {
      ...looks(null),
      viewItem: () => new Promise<ItemView | null>((resolve) => (answer = resolve)),
    };
    const window = lookForDisagreements(slow, job, ['window'], marco);
    await lookForDisagreements(looks({ assigned_to: marco, readings: [apart] }), job, null, marco);
    answer(null);
    await window;
    expect(found()).toEqual(['width_top']);
  });

  it('are nobody’s any more once the item is off the job', async () => {
    const removed = { reason: 'x' } as NonNullable<ItemView['removed']>;
    await lookForDisagreements(
      looks({ assigned_to: marco, readings: [apart], removed }),
      job,
      [door],
      marco,
    );
    expect(found()).toEqual([]);
  });
});
