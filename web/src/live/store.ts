import {
  batch,
  effect,
  type ReadonlySignal,
  type Signal,
  signal,
  untracked,
} from '@preact/signals';
import { api } from '../api/client.ts';
import { clockOff, corrected, serviceNow } from '../api/clock.ts';
import { type About, type CommandBody, type CommandKind, command, newId } from '../api/command.ts';
import { Refusal } from '../api/refusal.ts';
import type {
  Command,
  CommandOutcomes,
  EntryView,
  ItemView,
  JobLine,
  JobView,
  Outcome,
  Person,
} from '../api/views.ts';
import { type Entry, jobsOver, type Reader, type RuleSet } from '../rulebook/jobs.ts';
import { rulebook } from '../rulebook/load.ts';
import { holdWhile } from '../shell/quiet.ts';
import { leave, session } from '../sign-in/session.ts';
import { t } from '../words/words.ts';
import type { OutboxRow, RefusedRow } from './db.ts';
import { askToStay, device, lookForRoom } from './device.ts';
import { type Following, follow } from './follow.ts';
import { makeOutbox, rowOf } from './outbox.ts';
import {
  forgetDisagreements,
  lookForDisagreements,
  newsBetween,
  type Standing,
  standingOf,
} from './overtaken.ts';
import { type Eyes, makeReplica } from './replica.ts';
import {
  clearLike,
  newsOf,
  putAway,
  returnsOf,
  takeAnswer,
  tellNews,
  turnBackHere,
} from './returned.ts';
import { drawn, forgetSeen, recall, remember } from './seen.ts';
import { alone, hearTabs, tellTabs } from './tabs.ts';

/*
 * What the screens read and the one way they act. Views come from the device: the rule book in the
 * worker has the person's jobs open, with what waits in the outbox folded in. Where the rule book
 * cannot run, or has not arrived yet, they come from the service.
 */

/** Something shown: as it was last known, and what is the matter when the service was not heard. */
export interface Shown<T> {
  readonly view?: T;
  /** Could not be asked: no signal. What is shown is what this device has. */
  readonly offline?: boolean;
  /** It is not there, or not this person's to see. */
  readonly gone?: string;
  readonly asking?: boolean;
}

const jobsShown = signal<Shown<readonly JobLine[]>>({});
const peopleShown = signal<readonly Person[]>([]);
const jobShown = new Map<string, Signal<Shown<JobView>>>();
const itemShown = new Map<string, Signal<Shown<ItemView>>>();
const seqs = new Map<string, number>();
const unheard = signal(false);
const missing = signal(false);
let company: RuleSet = {};

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
  return cell(jobShown, job);
}

export function itemView(item: string): ReadonlySignal<Shown<ItemView>> {
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

// --- the device's own copy ---------------------------------------------------------------------

const steps: Readonly<Record<Reader['unit'], number>> = { in: 1_587_500, mm: 1_000_000 };

function eyes(): Eyes {
  const now = session.peek();
  if (now.state !== 'in') throw new Error('nobody is signed in');
  const { person_id, role, language, unit } = now.me;
  return {
    person: person_id,
    role,
    company,
    reader: { language, unit, step: steps[unit], now: serviceNow().toISOString() },
    corrected: (deviceTime) => corrected(deviceTime).toISOString(),
  };
}

const rules = jobsOver({
  call: (name, input) => rulebook().call(name, input),
  callText: (name, json) => rulebook().callText(name, json),
});

const replica = makeReplica({
  jobs: rules,
  keep: device().then(({ keep }) => keep),
  eyes,
  fetchState: api.state,
  fetchLog: api.log,
  unpulled: (job) => outbox.unpulled(job),
  onHeard: async (job) => {
    // One that is left over is of a pull that was cut off: what it saw first still counts.
    if (meanwhile.has(job)) return;
    const rows = away(outbox.unpulled(job));
    if (rows.length === 0) return;
    meanwhile.set(job, { rows, before: await standingOf(replica.viewItem, job, rows) });
  },
  onPulled: async (job, seq) => {
    // Told on the disk before what it is about leaves there: a kill in between loses neither.
    await tellMeanwhile(job).catch(() => undefined);
    await outbox.pulled(job, seq);
  },
  onChange: (job, items) => {
    const shown = render(job, items);
    rendering.set(job, shown);
    const now = session.peek();
    if (now.state !== 'in') return;
    void shown
      .then(() => lookForDisagreements(replica, job, items, now.me.person_id))
      .catch(() => undefined);
  },
});

const rendering = new Map<string, Promise<void>>();

/** True while the job is looked at and worked on here, and not by the service's views. */
export function isLocal(job: string): boolean {
  return !missing.value && replica.isOpen(job);
}

const openings = new Map<string, Promise<boolean>>();

/** Opens what the device has of a job. */
function openLocal(job: string): Promise<boolean> {
  const opening = open(job);
  openings.set(job, opening);
  return opening;
}

async function open(job: string): Promise<boolean> {
  if (session.peek().state !== 'in') return false;
  try {
    await outbox.ready;
    const open = await replica.open(job);
    missing.value = false;
    return open;
  } catch {
    missing.value = true;
    return false;
  }
}

/** Shows anew what is on the screen of a job; the rest is made when it is asked for. */
async function render(job: string, items: readonly string[] | null): Promise<void> {
  const here = [...watchedItems].flatMap(([item, { job: of }]) =>
    of === job && (items === null || items.includes(item)) ? [item] : [],
  );
  await Promise.all([
    ...here.map((item) => showItem(job, item)),
    ...(watchedJobs.has(job) ? [showJob(job)] : []),
  ]).catch(() => undefined);
}

async function showItem(job: string, item: string): Promise<void> {
  const view = await replica.viewItem(job, item);
  const shown = cell(itemShown, item);
  const { offline } = shown.value;
  shown.value =
    view === null
      ? { gone: t('item.gone.more') }
      : { view, ...(offline === undefined ? {} : { offline }) };
  if (view !== null) remember(eyes().person, item, view);
}

async function showJob(job: string): Promise<void> {
  const view = await replica.viewJob(job);
  const shown = cell(jobShown, job);
  const { offline } = shown.value;
  shown.value = { view, ...(offline === undefined ? {} : { offline }) };
  remember(eyes().person, job, view);
}

/** A screen as it last stood is drawn before anything that takes the phone longer. */
async function showSeen<V extends ItemView | JobView>(
  shown: Signal<Shown<V>>,
  of: string,
): Promise<void> {
  const now = session.peek();
  if (shown.value.view !== undefined || now.state !== 'in') return;
  const view = await recall<V>(now.me.person_id, of);
  const still = session.peek();
  if (view === undefined || shown.value.view !== undefined || still.state !== 'in') return;
  if (still.me.person_id !== now.me.person_id) return;
  shown.value = { ...shown.value, view };
  await drawn();
}

/** What waited here when a job was heard again, and how its items stood. */
const meanwhile = new Map<string, { rows: readonly OutboxRow[]; before: Standing }>();

async function tellMeanwhile(job: string): Promise<void> {
  const was = meanwhile.get(job);
  if (was === undefined) return;
  meanwhile.delete(job);
  const after = await standingOf(replica.viewConfirmed, job, was.rows);
  await tellNews(newsBetween(was.before, after, was.rows, eyes().person));
}

const lookedThrough = new Set<string>();

/** Once a start, behind the first screen: takes that disagreed when the phone was put away still do. */
function lookThrough(job: string): void {
  const now = session.peek();
  if (now.state !== 'in' || lookedThrough.has(job)) return;
  lookedThrough.add(job);
  void lookForDisagreements(replica, job, null, now.me.person_id).catch(() =>
    lookedThrough.delete(job),
  );
}

/** Pulls a job's log. What is the matter stands beside what is shown. */
async function pullLog(job: string): Promise<void> {
  const offline = (is: boolean) => {
    tellOffline(cell(jobShown, job), is);
    for (const [item, { job: of }] of watchedItems) {
      if (of === job) tellOffline(cell(itemShown, item), is);
    }
  };
  try {
    await replica.pull(job);
    missing.value = false;
    unheard.value = false;
    heard(job, replica.seq(job));
    offline(false);
    fetchOlder(job);
  } catch (cause) {
    if (cause instanceof Refusal && cause.status === 401) leave();
    else if (cause instanceof Refusal && (cause.status === 404 || cause.status === 403)) {
      await jobGone(job, cause.sentence);
    } else if (cause instanceof Error && cause.name === 'Unreachable') {
      unheard.value = true;
      offline(true);
    } else if (!(cause instanceof Refusal)) {
      missing.value = true;
    }
  }
}

const older = new Set<string>();

/** Once a session, when the work at hand is done: the log from before this device had the job. */
function fetchOlder(job: string): void {
  if (older.has(job)) return;
  older.add(job);
  setTimeout(() => {
    replica.fetchOlder(job).catch(() => older.delete(job));
  }, 3_000);
}

// What was done longer ago than this was done without a signal; the rest is on its way.
const longAgo = 10_000;

function away(rows: readonly OutboxRow[]): readonly OutboxRow[] {
  const since = Date.now() - longAgo;
  return rows.filter(({ command: { at } }) => Date.parse(at) < since);
}

function tellOffline<T>(shown: Signal<Shown<T>>, is: boolean): void {
  const { offline = false, ...rest } = shown.value;
  if (offline !== is) shown.value = is ? { ...rest, offline: true } : (rest as Shown<T>);
}

/** The job is no longer this person's: it leaves the device. What they did and is unsent does not. */
async function jobGone(job: string, sentence: string): Promise<void> {
  const [row] = outbox.unpulled(job);
  if (row !== undefined) {
    await tellNews([{ ...newsOf('job_gone', row), id: `${job} gone` }]);
  }
  if (replica.isOpen(job)) await replica.forget(job).catch(() => undefined);
  await outbox.pulled(job, Number.MAX_SAFE_INTEGER);
  batch(() => {
    cell(jobShown, job).value = { gone: sentence };
    for (const [item, { job: of }] of watchedItems) {
      if (of === job) cell(itemShown, item).value = { gone: sentence };
    }
  });
}

/** A log's entries in words, the last first, as far as this device holds the log. */
export async function itemLog(job: string, item: string): Promise<EntryView[] | null> {
  if (!isLocal(job)) return null;
  try {
    const entries: Entry[] | null = await replica.itemLog(job, item);
    return entries === null ? null : await rules.viewEntries(entries, eyes().reader);
  } catch {
    return null;
  }
}

export { disagreements } from './overtaken.ts';
export { news, putAway, refusals, seenNews, turnedBackAt } from './returned.ts';

// --- pulling ---------------------------------------------------------------------------------

async function pull<T>(
  into: Signal<Shown<T>>,
  asked: () => Promise<T>,
  keep: (view: T) => boolean = () => true,
) {
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

export async function pullJobs(): Promise<void> {
  await pull<readonly JobLine[]>(jobsShown, api.jobs);
  await keepPerson();
  if (jobsShown.value.offline !== true) void dropUnlisted();
  void pullCompany();
}

/** Jobs that are no longer this person's leave the device. */
async function dropUnlisted(): Promise<void> {
  const listed = new Set(jobsShown.value.view?.map(({ id }) => id));
  const { keep } = await device();
  if (listed.size === 0 || here === '') return;
  for (const job of await keep.jobs(here).catch(() => [])) {
    if (!listed.has(job)) await jobGone(job, t('item.gone.more'));
  }
}

export async function pullPeople(): Promise<void> {
  try {
    peopleShown.value = await api.people();
    await keepPerson();
  } catch {
    // Names come with the next pull; the work does not wait for them.
  }
}

/** The company's house rules are in no job's log. */
async function pullCompany(): Promise<void> {
  try {
    const { rules: table } = await api.rules();
    const now = Object.fromEntries(
      table.flatMap(({ key, value, origin }) => (origin === 'company' ? [[key, value]] : [])),
    );
    if (JSON.stringify(now) === JSON.stringify(company)) return;
    company = now;
    await keepPerson();
    for (const { id } of jobsShown.value.view ?? []) {
      if (isLocal(id)) await render(id, null);
    }
  } catch {
    // Those known here stand until they are heard.
  }
}

async function keepPerson(): Promise<void> {
  const now = session.peek();
  // Not before what is kept has been read: a start without a signal would write nothing over it.
  await restored;
  if (now.state !== 'in' || jobsShown.value.view === undefined) return;
  const { keep } = await device();
  await keep
    .setPerson({
      person_id: now.me.person_id,
      me: now.me,
      jobs: jobsShown.value.view,
      people: peopleShown.value,
      company,
    })
    .catch(() => undefined);
}

export async function pullJob(job: string): Promise<void> {
  const shown = cell(jobShown, job);
  await showSeen(shown, job);
  if (await openLocal(job)) {
    await showJob(job).catch(() => undefined);
    lookThrough(job);
    void pullCompany();
    return pullLog(job);
  }
  // The first time: the service's view is here before the whole log is.
  const asked = pull(
    shown,
    async () => {
      const view = await api.job(job);
      heard(job, view.seq);
      return view;
    },
    (view) => !isLocal(job) && view.seq >= (shown.value.view?.seq ?? 0),
  );
  void pullLog(job).then(() => (isLocal(job) ? showJob(job) : undefined));
  return asked;
}

export async function pullItem(job: string, item: string): Promise<void> {
  const shown = cell(itemShown, item);
  await showSeen(shown, item);
  if (await openLocal(job)) {
    await showItem(job, item).catch(() => undefined);
    lookThrough(job);
    return pullLog(job);
  }
  const asked = pull(
    shown,
    () => api.item(job, item),
    (view) => !isLocal(job) && isNewer(shown, view),
  );
  void pullLog(job).then(() => (isLocal(job) ? showItem(job, item) : undefined));
  return asked;
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
  shelf: device().then(({ shelf }) => shelf),
  onAnswer: takeAnswer,
  onSettled: afterAnswer,
  pulls: isLocal,
  onSignedOut: leave,
  onChange: () => tellTabs('outbox'),
  alone,
});

function afterAnswer(job: string, answer: CommandOutcomes): void {
  unheard.value = false;
  heard(job, answer.seq);
  if (isLocal(job)) {
    void pullLog(job);
    return;
  }
  const { view } = answer;
  if (view !== undefined) {
    const shown = cell(itemShown, view.id);
    if (isNewer(shown, view)) shown.value = { view };
  }
  // Poles elsewhere stand on the same log; the view that came along is of one item only.
  if (jobShown.get(job)?.value.view !== undefined) void pullJob(job);
}

export interface Said {
  /** What was done, in words, for the list of what is not sent yet. */
  readonly said: string;
  readonly nm?: number;
  /** Called once it is on the device: what a screen calls kept is. */
  readonly onKept?: () => void;
}

/**
 * Does one thing. When the promise is kept it is on the device's disk, the screens show it, and it
 * tells what came of it by the rules here; null means that only the service can tell and has not yet.
 */
export function act<K extends Extract<CommandKind, keyof Command>>(
  kind: K,
  about: About,
  body: CommandBody<K>,
  said: Said,
): Promise<Outcome | null> {
  const now = session.peek();
  const person = now.state === 'in' ? now.me.person_id : '';
  const { onKept, ...words } = said;
  return perform(rowOf(command(kind, about, body), person, words), onKept);
}

/** Does again what was turned back, as a new thing with its own id. */
export function tryAgain(row: RefusedRow): Promise<Outcome | null> {
  putAway(row.id);
  return perform(anew(row));
}

/** Sends what the rules here turned back: the service decides, and what it says stands. */
export async function sendAnyway(row: RefusedRow): Promise<void> {
  putAway(row.id);
  await outbox.keep(anew(row));
  void outbox.push();
}

function anew(row: RefusedRow): OutboxRow {
  const { said, nm } = row;
  const now = { ...row.command, id: newId(), at: new Date().toISOString() };
  return rowOf(now, row.person_id, nm === undefined ? { said } : { said, nm });
}

async function perform(row: OutboxRow, onKept?: () => void): Promise<Outcome | null> {
  const job = row.job_id;
  if (isLocal(job)) {
    try {
      const decision = await replica.decide(row, () => outbox.keep(row));
      if (decision.refused) return await turnBackHere(row, decision.findings);
      onKept?.();
      await rendering.get(job);
      askToStay();
      void outbox.push();
      clearLike(row);
      return { command_id: row.id, applied: true, findings: [...decision.findings] };
    } catch {
      // The rule book failed under it: the service decides.
    }
  }
  const answer = outbox.answerOf(row.id);
  await outbox.keep(row);
  onKept?.();
  askToStay();
  // Done on a screen as it last stood, while the job was still being opened: it shows in the job
  // before it is sent, or it would come and go.
  if (!isLocal(job) && (await openings.get(job)) === true) {
    await replica.refold(job).catch(() => undefined);
  }
  void outbox.push();
  return answer;
}

// --- following -------------------------------------------------------------------------------

const followed = new Map<string, { following: Following; count: number }>();
const watchedItems = new Map<string, { readonly job: string; count: number }>();
const watchedJobs = new Map<string, number>();

/** Keeps a job's views current while something of it is on the screen. Returns how to stop. */
export function watch(job: string, item?: string): () => void {
  if (item === undefined) watchedJobs.set(job, (watchedJobs.get(job) ?? 0) + 1);
  else watchedItems.set(item, { job, count: (watchedItems.get(item)?.count ?? 0) + 1 });
  const known = followed.get(job);
  if (known === undefined) {
    followed.set(job, { count: 1, following: begin(job) });
  } else {
    known.count += 1;
  }
  return () => {
    if (item === undefined) {
      const count = (watchedJobs.get(job) ?? 1) - 1;
      if (count === 0) watchedJobs.delete(job);
      else watchedJobs.set(job, count);
    } else {
      const count = (watchedItems.get(item)?.count ?? 1) - 1;
      if (count === 0) watchedItems.delete(item);
      else watchedItems.set(item, { job, count });
    }
    const still = followed.get(job);
    if (still === undefined) return;
    still.count -= 1;
    if (still.count > 0) return;
    still.following.stop();
    followed.delete(job);
  };
}

/** A page that nobody looks at holds no stream: it is brought up to date when it is picked up. */
const unfollowed: Following = { stop: () => undefined };

function begin(job: string): Following {
  if (document.visibilityState === 'hidden') return unfollowed;
  const took = (seq: number) => {
    outboxMayPass();
    if (isLocal(job) ? seq > replica.seq(job) : heard(job, seq)) refresh(job);
  };
  return follow(job, {
    onSeq: took,
    pull: async () => {
      if (isLocal(job)) {
        await pullLog(job);
        if (!unheard.value) outboxMayPass();
      } else {
        took((await api.entries(job, seqs.get(job) ?? 0, 1)).seq);
      }
    },
  });
}

/** Everything of a job that is on the screen is brought up to date. */
export function refresh(job: string): void {
  if (isLocal(job)) {
    void pullLog(job);
    return;
  }
  if (jobShown.get(job)?.value.view !== undefined) void pullJob(job);
  for (const [item, { job: of }] of watchedItems) if (of === job) void pullItem(job, item);
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
  // Paint dries by the right clock: what is shown was made by the one known before.
  effect(() => {
    if (Number.isNaN(clockOff.value)) return;
    untracked(() => {
      for (const job of followed.keys()) if (isLocal(job)) void render(job, null);
    });
  });
  effect(() => {
    const now = session.value;
    const person = now.state === 'in' ? now.me.person_id : null;
    untracked(() => {
      if (person !== null) void begins(person);
      else {
        outbox.belongsTo(null);
        if (now.state === 'out') forgetViews();
      }
    });
  });
  addEventListener('online', wake);
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') wake();
    else for (const { following } of followed.values()) following.stop();
  });
  addEventListener('storage', () => void outbox.reread());
  hearTabs(() => void rereadAll());
}

let here = '';
let restored = Promise.resolve();

/** What the device knows of a person stands before the service is asked. */
async function begins(person: string): Promise<void> {
  if (here !== person) {
    here = person;
    replica.close();
    restored = restore(person);
    await restored;
    if (here !== person) return;
    await returnsOf(person);
    void lookForRoom();
  }
  outbox.belongsTo(person);
  void pullPeople();
}

async function restore(person: string): Promise<void> {
  const { keep } = await device();
  const row = await keep.person(person).catch(() => undefined);
  if (row === undefined || here !== person) return;
  batch(() => {
    company = row.company;
    if (peopleShown.value.length === 0) peopleShown.value = row.people;
    if (jobsShown.value.view === undefined)
      jobsShown.value = { ...jobsShown.value, view: row.jobs };
  });
}

/** Another tab has put something there, sent it, or dealt with it. */
async function rereadAll(): Promise<void> {
  await outbox.reread();
  await returnsOf(here);
  for (const { id } of jobsShown.value.view ?? []) {
    if (isLocal(id)) await replica.refold(id).catch(() => undefined);
  }
}

/** The phone was pocketed, or out of signal: everything on the screen may be behind. */
function wake(): void {
  void outbox.push();
  void lookForRoom();
  for (const [job, { count }] of followed) {
    followed.get(job)?.following.stop();
    followed.set(job, { count, following: begin(job) });
    // Paint has dried meanwhile, signal or not.
    if (isLocal(job)) void render(job, null);
    refresh(job);
  }
}

/** The next person at this device sees nothing of the last one's. */
function forgetViews(): void {
  here = '';
  older.clear();
  lookedThrough.clear();
  meanwhile.clear();
  void returnsOf('');
  forgetDisagreements();
  company = {};
  replica.close();
  batch(() => {
    jobsShown.value = {};
    peopleShown.value = [];
    for (const shown of [...jobShown.values(), ...itemShown.values()]) shown.value = {};
    seqs.clear();
  });
}

/** A person who signs out leaves no house behind on the device; what they have not sent stays. */
export async function forgetHouses(person: string): Promise<void> {
  const { keep } = await device();
  await Promise.all([keep.forgetPerson(person).catch(() => undefined), forgetSeen(person)]);
}
