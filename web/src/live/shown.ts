import { batch, type ReadonlySignal, type Signal, signal } from '@preact/signals';
import { Refusal } from '../api/refusal.ts';
import type { ItemView, JobLine, JobView, Person } from '../api/views.ts';
import { sameText } from '../rulebook/view-text.ts';
import { leave } from '../sign-in/session.ts';

/* What the screens read: views and lists as they were last known, and what is on the screen now. */

/** Something shown: as it was last known, and what is the matter when the service was not heard. */
export interface Shown<T> {
  readonly view?: T;
  /** Could not be asked: no signal. What is shown is what this device has. */
  readonly offline?: boolean;
  /** It is not there, or not this person's to see. */
  readonly gone?: string;
  readonly asking?: boolean;
}

export const jobsShown = signal<Shown<readonly JobLine[]>>({});
export const peopleShown = signal<readonly Person[]>([]);
export const unheard = signal(false);
export const missing = signal(false);
const jobShown = new Map<string, Signal<Shown<JobView>>>();
const itemShown = new Map<string, Signal<Shown<ItemView>>>();
const seqs = new Map<string, number>();

/** How often a job is on the screen, and each item with the job it is of. */
export const watchedJobs = new Map<string, number>();
export const watchedItems = new Map<string, { readonly job: string; count: number }>();

/** True from a question that found no service until one that does. */
export const noSignal: ReadonlySignal<boolean> = unheard;

/** True while the rule book does not run here: without a signal the screens then stand still. */
export const rulesMissing: ReadonlySignal<boolean> = missing;

/** The jobs this person may see. */
export const jobs: ReadonlySignal<Shown<readonly JobLine[]>> = jobsShown;

export function personName(id: string | undefined): string {
  return peopleShown.value.find((person) => person.id === id)?.name ?? '';
}

export function jobView(job: string): ReadonlySignal<Shown<JobView>> {
  return jobCell(job);
}

export function itemView(item: string): ReadonlySignal<Shown<ItemView>> {
  return itemCell(item);
}

export function jobCell(job: string): Signal<Shown<JobView>> {
  return cell(jobShown, job);
}

export function itemCell(item: string): Signal<Shown<ItemView>> {
  return cell(itemShown, item);
}

function cell<T>(cells: Map<string, Signal<Shown<T>>>, id: string): Signal<Shown<T>> {
  let found = cells.get(id);
  if (found === undefined) {
    found = signal<Shown<T>>({});
    cells.set(id, found);
  }
  return found;
}

/** The items of a job that are on the screen. */
export function itemsOnScreen(job: string): string[] {
  return [...watchedItems].flatMap(([item, { job: of }]) => (of === job ? [item] : []));
}

/**
 * Shows a view, with what is the matter beside it left as it is. The same view once more, as when the
 * rule book makes what the device had kept, is nothing to draw again.
 */
export function show<T extends object>(into: Signal<Shown<T>>, view: T): void {
  const { offline, asking, gone, view: before } = into.value;
  const same = gone === undefined && asking !== true && before !== undefined;
  if (same && sameText(before, view)) return;
  into.value = { view, ...(offline === undefined ? {} : { offline }) };
}

export function tellOffline<T>(shown: Signal<Shown<T>>, is: boolean): void {
  const { offline = false, ...rest } = shown.value;
  if (offline !== is) shown.value = is ? { ...rest, offline: true } : (rest as Shown<T>);
}

/** Asks the service for something shown. `keep` says whether what it answers is to be shown. */
export async function askInto<T>(
  into: Signal<Shown<T>>,
  asked: () => Promise<T>,
  keep: (view: T) => boolean = () => true,
): Promise<void> {
  into.value = { ...into.value, asking: true };
  try {
    const view = await asked();
    const before = into.value.view;
    into.value = { view: keep(view) || before === undefined ? view : before };
    unheard.value = false;
  } catch (cause) {
    unheard.value = !(cause instanceof Refusal);
    const { view } = into.value;
    const had = view === undefined ? {} : { view };
    if (cause instanceof Refusal && cause.status === 401) {
      into.value = had;
      leave();
    } else if (cause instanceof Refusal && (cause.status === 404 || cause.status === 403)) {
      into.value = { gone: cause.sentence };
    } else {
      into.value = { ...had, offline: true };
    }
  }
}

/** The last number of a job's log that was heard of, where the job is not held here. */
export function seqHeard(job: string): number {
  return seqs.get(job) ?? 0;
}

export function heard(job: string, seq: number): boolean {
  const newer = seq > seqHeard(job);
  if (newer) seqs.set(job, seq);
  return newer;
}

/** The next person at this device sees nothing of the last one's. */
export function forgetShown(): void {
  batch(() => {
    jobsShown.value = {};
    peopleShown.value = [];
    for (const shown of [...jobShown.values(), ...itemShown.values()]) shown.value = {};
    seqs.clear();
  });
}
