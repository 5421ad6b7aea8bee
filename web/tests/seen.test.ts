import 'fake-indexeddb/auto';
import { beforeEach, describe, expect, it, vi } from 'vitest';
import { command } from '../src/api/command.ts';
import type { ItemView } from '../src/api/views.ts';
import type { OutboxRow } from '../src/live/db.ts';
import { device } from '../src/live/device.ts';
import { rowOf } from '../src/live/outbox.ts';
import type { Eyes } from '../src/live/replica.ts';
import { firstAhead, recall, remember } from '../src/live/seen.ts';

const job = '018f0000-0000-7000-8000-000000000001';
const item = '018f0000-0000-7000-8000-000000000002';
const other = '018f0000-0000-7000-8000-000000000003';
const view = { id: item, job_id: job, name: 'Linen closet door' } as ItemView;

const by = (more: Partial<Eyes['reader']> = {}, company = {}, person = 'marco'): Eyes => ({
  person,
  role: 'installer',
  company,
  reader: { language: 'en', unit: 'in', step: 1_587_500, now: '2026-11-26T08:00:00Z', ...more },
  corrected: (at) => at,
});

const none = () => [];
const recalled = async (eyes = by(), unpulled: () => readonly OutboxRow[] = none) =>
  (await recall([item], eyes, unpulled)).map(({ of }) => of);

/** Remembers the item's view and waits until it is on the device. */
async function kept(shown: ItemView = view, outbox: readonly OutboxRow[] = []) {
  remember({ job, of: item, view: shown, outbox }, by());
  const { keep } = await device();
  await vi.waitFor(async () => {
    const [row] = await keep.views('marco', [item]);
    expect(row?.outbox).toEqual(outbox.map(({ id }) => id));
    expect(row?.view).toEqual(JSON.stringify(shown));
  });
}

const note = (of: string) =>
  rowOf(command('note', { job, item: of }, { text: 'x' }), 'marco', { said: 'a note' });

beforeEach(async () => {
  document.documentElement.dataset['version'] = 'one';
  const { keep } = await device();
  await keep.forgetPerson('marco');
});

describe('a screen as it last stood', () => {
  it('is there at the next start', async () => {
    await kept();
    expect(await recalled()).toEqual([item]);
  });

  it('is not shown by another version of the app', async () => {
    await kept();
    document.documentElement.dataset['version'] = 'two';
    expect(await recalled()).toEqual([]);
  });

  it('is not shown to another reader, or under other house rules', async () => {
    await kept();
    expect(await recalled(by({ language: 'es' }))).toEqual([]);
    expect(await recalled(by({ unit: 'mm' }))).toEqual([]);
    expect(await recalled(by({}, { reveal: 1 }))).toEqual([]);
    expect(await recalled(by({}, {}, 'tess'))).toEqual([]);
  });

  it('is not shown when the outbox holds what is not in it, or no longer what is', async () => {
    const row = note(item);
    await kept();
    expect(await recalled(by(), () => [row])).toEqual([]);
    await kept(view, [row]);
    expect(await recalled(by(), () => [row])).toEqual([item]);
    expect(await recalled()).toEqual([]);
  });

  it('takes no notice of what waits about another item', async () => {
    await kept();
    expect(await recalled(by(), () => [note(other)])).toEqual([item]);
  });

  it('is not shown once something in it has dried', async () => {
    const drying = { ...view, findings: [{ clears_at: '2026-11-26T10:00:00Z' }] } as ItemView;
    await kept(drying);
    expect(await recalled(by({ now: '2026-11-26T09:59:59Z' }))).toEqual([item]);
    expect(await recalled(by({ now: '2026-11-26T10:00:00Z' }))).toEqual([]);
  });

  it('leaves the device with the pull that changes it, and with its job', async () => {
    const { keep } = await device();
    const stretch = (seq: number) => ({
      person_id: 'marco',
      job_id: job,
      first_seq: seq,
      last_seq: seq,
      entries: `[{"seq":${seq}}]`,
    });
    await kept();
    await keep.addLog(stretch(1), [job, other]);
    expect(await recalled()).toEqual([item]);
    await keep.addLog(stretch(2), [job, item]);
    expect(await recalled()).toEqual([]);
    await kept();
    await keep.forgetJob('marco', job);
    expect(await recalled()).toEqual([]);
  });
});

it('the first moment still to come is found wherever a view names one', () => {
  const poles = {
    rooms: [
      { items: [{ clears_at: '2026-11-26T09:30:00Z' }, { clears_at: '2026-11-25T09:30:00Z' }] },
    ],
    server_at: 'no time',
    said: 'they wrote "dry_at":"2026-11-26T08:30:00Z"',
  };
  expect(firstAhead(JSON.stringify(poles), '2026-11-26T08:00:00Z')).toBe(
    '2026-11-26T09:30:00.000Z',
  );
  expect(firstAhead(JSON.stringify(poles), '2026-11-26T09:30:00Z')).toBeNull();
});
