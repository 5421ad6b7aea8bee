import { type ReadonlySignal, signal } from '@preact/signals';
import type { Command, ItemView, JobView, ReadingView } from '../api/views.ts';
import type { NewsRow, OutboxRow } from './db.ts';
import { newsOf } from './returned.ts';

/** Takes of one reading that are too far apart, where it is this person's to say which is right. */
export interface Disagreement {
  readonly job: string;
  readonly item: ItemView;
  readonly reading: ReadingView;
}

const found = signal<ReadonlyMap<string, readonly Disagreement[]>>(new Map());

/** By item; an item without any is not there. */
export const disagreements: ReadonlySignal<ReadonlyMap<string, readonly Disagreement[]>> = found;

interface Looks {
  viewItem(job: string, item: string): Promise<ItemView | null>;
  viewJob(job: string): Promise<JobView>;
}

/** Looks through what has changed for takes that disagree; null looks through all that is held. */
export async function lookForDisagreements(
  looks: Looks,
  job: string,
  changed: readonly string[] | null,
  person: string,
): Promise<void> {
  const items =
    changed ??
    (await looks.viewJob(job)).rooms.flatMap(({ items }) =>
      // Time alone does not settle takes that disagree.
      items.flatMap(({ id, held, clears_at }) => (held && clears_at === undefined ? [id] : [])),
    );
  const looked = new Map<string, readonly Disagreement[]>();
  for (const id of new Set(items)) {
    const view = await looks.viewItem(job, id);
    const theirs =
      view !== null &&
      view.removed === undefined &&
      (view.assigned_to === person ||
        view.readings.some(({ takes = [] }) => takes.some((take) => take.person_id === person)));
    const apart = !theirs ? [] : view.readings.filter(({ state }) => state === 'disagree');
    looked.set(
      id,
      apart.flatMap((reading) => (view === null ? [] : [{ job, item: view, reading }])),
    );
  }
  // Only now, in one go: others may have looked through other items meanwhile.
  const next = new Map(found.peek());
  for (const [id, apart] of looked) {
    if (apart.length === 0) next.delete(id);
    else next.set(id, apart);
  }
  found.value = next;
}

export function forgetDisagreements(): void {
  found.value = new Map();
}

/** How the items someone has worked on stood before the log was heard again. */
export type Standing = ReadonlyMap<string, { readonly with: string; readonly removed: boolean }>;

const plans: readonly Command['kind'][] = ['assign', 'remove_item', 'restore_item'];

/** Of items whose place in the plan was changed from here nothing is told: their author knows. */
export async function standingOf(
  view: Looks['viewItem'],
  job: string,
  rows: readonly OutboxRow[],
): Promise<Standing> {
  const planned = rows.flatMap(({ command: { kind, item_id } }) =>
    plans.includes(kind) && item_id !== undefined ? [item_id] : [],
  );
  const items = rows.flatMap(({ command: { item_id } }) =>
    item_id === undefined ? [] : [item_id],
  );
  const standing = new Map<string, { with: string; removed: boolean }>();
  for (const id of new Set(items)) {
    if (planned.includes(id)) continue;
    const now = await view(job, id);
    if (now !== null) {
      standing.set(id, { with: now.assigned_to ?? '', removed: now.removed !== undefined });
    }
  }
  return standing;
}

/** What happened meanwhile to items a person worked on without hearing of it: a line an item. */
export function newsBetween(
  before: Standing,
  after: Standing,
  rows: readonly OutboxRow[],
  person: string,
): NewsRow[] {
  const told: NewsRow[] = [];
  for (const [item, was] of before) {
    const now = after.get(item);
    const row = rows.find(({ command }) => command.item_id === item);
    if (now === undefined || row === undefined) continue;
    if (now.removed && !was.removed) told.push(newsOf('removed', row));
    else if (was.with === person && now.with !== person) {
      told.push({ ...newsOf('reassigned', row), ...(now.with === '' ? {} : { who: now.with }) });
    }
  }
  return told;
}
