import {
  batch,
  effect,
  type ReadonlySignal,
  type Signal,
  signal,
  untracked,
} from '@preact/signals';
import { api } from '../api/client.ts';
import type { About, CommandKind } from '../api/command.ts';
import { type CommandBody, command } from '../api/command.ts';
import { Refusal } from '../api/refusal.ts';
import type {
  Command,
  CommandOutcomes,
  FindingView,
  ItemView,
  JobLine,
  JobView,
  Outcome,
  Person,
} from '../api/views.ts';
import { holdWhile } from '../shell/quiet.ts';
import { leave, session } from '../sign-in/session.ts';
import { type Following, follow } from './follow.ts';
import { type Kept, makeOutbox } from './outbox.ts';

/*
 * What the screens read and the one way they act. Views come from the service today; a copy of the
 * log on the device can take its place here without a screen knowing.
 */

/** Something shown: as it was last heard, and what is the matter when it could not be asked again. */
export interface Shown<T> {
  readonly view?: T;
  /** Could not be asked: no signal. What was heard before still stands. */
  readonly offline?: boolean;
  /** It is not there, or not this person's to see. */
  readonly gone?: string;
  readonly asking?: boolean;
}

export interface TurnedBack {
  readonly command: Command;
  readonly findings: readonly FindingView[];
}

const jobsShown = signal<Shown<readonly JobLine[]>>({});
const peopleShown = signal<readonly Person[]>([]);
const jobShown = new Map<string, Signal<Shown<JobView>>>();
const itemShown = new Map<string, Signal<Shown<ItemView>>>();
const seqs = new Map<string, number>();
const unheard = signal(false);
const turnedBack = signal<readonly TurnedBack[]>([]);

/** True from a question that found no service until one that does. */
export const noSignal: ReadonlySignal<boolean> = unheard;

/** The jobs this person may see. */
export const jobs: ReadonlySignal<Shown<readonly JobLine[]>> = jobsShown;

export function personName(id: string | undefined): string {
  return peopleShown.value.find((person) => person.id === id)?.name ?? '';
}

export function jobView(job: string): ReadonlySignal<Shown<JobView>> {
  return cell(jobShown, job);
}

export function itemView(item: string): ReadonlySignal<Shown<ItemView>> {
  return cell(itemShown, item);
}

/** What the rules turned back since the screen opened and the person has not yet put away. */
export const refusals: ReadonlySignal<readonly TurnedBack[]> = turnedBack;

export function putAway(id: string): void {
  turnedBack.value = turnedBack.value.filter(({ command: each }) => each.id !== id);
}

function cell<T>(cells: Map<string, Signal<Shown<T>>>, id: string): Signal<Shown<T>> {
  let found = cells.get(id);
  if (found === undefined) {
    found = signal<Shown<T>>({});
    cells.set(id, found);
  }
  return found;
}

// --- pulling ---------------------------------------------------------------------------------

async function pull<T>(
  into: Signal<Shown<T>>,
  asked: () => Promise<T>,
  newer?: (view: T) => boolean,
) {
  into.value = { ...into.value, asking: true };
  try {
    const view = await asked();
    const keep = newer?.(view) ?? true;
    const before = into.value.view;
    into.value = { view: keep || before === undefined ? view : before };
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

export function pullJobs(): Promise<void> {
  return pull<readonly JobLine[]>(jobsShown, api.jobs);
}

export async function pullPeople(): Promise<void> {
  try {
    peopleShown.value = await api.people();
  } catch {
    // Names come with the next pull; the work does not wait for them.
  }
}

export function pullJob(job: string): Promise<void> {
  const shown = cell(jobShown, job);
  return pull(
    shown,
    async () => {
      const view = await api.job(job);
      heard(job, view.seq);
      return view;
    },
    (view) => view.seq >= (shown.value.view?.seq ?? 0),
  );
}

export function pullItem(job: string, item: string): Promise<void> {
  const shown = cell(itemShown, item);
  return pull(
    shown,
    () => api.item(job, item),
    (view) => isNewer(shown, view),
  );
}

function isNewer(shown: Signal<Shown<ItemView>>, view: ItemView): boolean {
  return view.through_seq >= (shown.value.view?.through_seq ?? 0);
}

function heard(job: string, seq: number): boolean {
  const newer = seq > (seqs.get(job) ?? 0);
  if (newer) seqs.set(job, seq);
  return newer;
}

// --- acting ----------------------------------------------------------------------------------

export const outbox = makeOutbox({
  storage: storageOrNone(),
  onAnswer: takeAnswer,
  onSignedOut: leave,
});

function takeAnswer(job: string, answer: CommandOutcomes, sent: readonly Command[]): void {
  batch(() => {
    unheard.value = false;
    heard(job, answer.seq);
    const { view } = answer;
    if (view !== undefined) {
      const shown = cell(itemShown, view.id);
      if (isNewer(shown, view)) shown.value = { view };
    }
    const refused: TurnedBack[] = [];
    for (const outcome of answer.outcomes) {
      const from = sent.find(({ id }) => id === outcome.command_id);
      if (!outcome.applied && from !== undefined) {
        refused.push({ command: from, findings: outcome.findings ?? [] });
      }
    }
    turnedBack.value = [
      ...refused,
      ...turnedBack.value.filter((old) => !sent.some((done) => sameThing(done, old.command))),
    ];
  });
  // Poles elsewhere stand on the same log; the view that came along is of one item only.
  if (jobShown.get(job)?.value.view !== undefined) void pullJob(job);
}

/** The same thing tried again, about the same item and kind of hole: its answer takes the old one's place. */
function sameThing(a: Command, b: Command): boolean {
  return (
    a.kind === b.kind &&
    a.item_id === b.item_id &&
    (a.treat_holes?.kind ?? a.sand?.kind) === (b.treat_holes?.kind ?? b.sand?.kind)
  );
}

export interface Said {
  /** What was done, in words, for the list of what is not sent yet. */
  readonly said: string;
  readonly nm?: number;
}

/**
 * Does one thing. It is on the device before this returns; the promise tells what came of it, or
 * null while it has not been sent.
 */
export function act<K extends Extract<CommandKind, keyof Command>>(
  kind: K,
  about: About,
  body: CommandBody<K>,
  said: Said,
): Promise<Outcome | null> {
  const now = session.peek();
  const person = now.state === 'in' ? now.me.person_id : '';
  const kept: Kept = { command: command(kind, about, body), person, ...said };
  return outbox.put(kept);
}

// --- following -------------------------------------------------------------------------------

const followed = new Map<string, { following: Following; count: number }>();

/** Keeps a job's views current while something of it is on the screen. Returns how to stop. */
export function watch(job: string, item?: string): () => void {
  if (item !== undefined) watchedItems.set(item, (watchedItems.get(item) ?? 0) + 1);
  const known = followed.get(job);
  if (known === undefined) {
    followed.set(job, { count: 1, following: begin(job) });
  } else {
    known.count += 1;
  }
  return () => {
    if (item !== undefined) {
      const count = (watchedItems.get(item) ?? 1) - 1;
      if (count === 0) watchedItems.delete(item);
      else watchedItems.set(item, count);
    }
    const still = followed.get(job);
    if (still === undefined) return;
    still.count -= 1;
    if (still.count > 0) return;
    still.following.stop();
    followed.delete(job);
  };
}

const watchedItems = new Map<string, number>();

function begin(job: string): Following {
  return follow(job, {
    onSeq: (seq) => {
      outboxMayPass();
      if (heard(job, seq)) refresh(job);
    },
    pull: async () => {
      const { seq } = await api.entries(job, seqs.get(job) ?? 0, 1);
      outboxMayPass();
      if (heard(job, seq)) refresh(job);
    },
  });
}

/** Everything of a job that is on the screen is asked for again. */
export function refresh(job: string): void {
  if (jobShown.get(job)?.value.view !== undefined) void pullJob(job);
  for (const item of watchedItems.keys()) void pullItem(job, item);
}

/** The service was heard: what waits may go. */
function outboxMayPass(): void {
  if (outbox.cutOff.value && !outbox.sending.value) void outbox.push();
}

// --- the page --------------------------------------------------------------------------------

let started = false;

/** Ties the store to the page: who is signed in, signal coming back, the other tab. */
export function startStore(): void {
  if (started) return;
  started = true;
  holdWhile(outbox.onlyHere);
  effect(() => {
    const now = session.value;
    const person = now.state === 'in' ? now.me.person_id : null;
    untracked(() => {
      outbox.belongsTo(person);
      if (person !== null) void pullPeople();
      else if (now.state === 'out') forgetViews();
    });
  });
  addEventListener('online', wake);
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') wake();
  });
  addEventListener('storage', () => outbox.reread());
}

/** The phone was pocketed, or out of signal: everything on the screen may be behind. */
function wake(): void {
  void outbox.push();
  for (const [job, { count }] of followed) {
    followed.get(job)?.following.stop();
    followed.set(job, { count, following: begin(job) });
    refresh(job);
  }
}

/** The next person at this device sees nothing of the last one's. */
function forgetViews(): void {
  batch(() => {
    jobsShown.value = {};
    peopleShown.value = [];
    turnedBack.value = [];
    for (const shown of [...jobShown.values(), ...itemShown.values()]) shown.value = {};
    seqs.clear();
  });
}

function storageOrNone(): Storage | null {
  try {
    return localStorage;
  } catch {
    return null;
  }
}
