import { batch, effect, type Signal, untracked } from '@preact/signals';
import { api } from '../api/client.ts';
import { Refusal } from '../api/refusal.ts';
import type { CommandOutcomes, EntryView, ItemView, JobView } from '../api/views.ts';
import { type Entry, jobsOver } from '../rulebook/jobs.ts';
import { rulebook } from '../rulebook/load.ts';
import { readView } from '../rulebook/view-text.ts';
import { drawn } from '../shell/after-frame.ts';
import { leave, session } from '../sign-in/session.ts';
import { t } from '../words/words.ts';
import { firstViews, standIn } from './beside.ts';
import type { OutboxRow } from './db.ts';
import { device } from './device.ts';
import { company, eyes, pullCompany } from './eyes.ts';
import { namedLog } from './named-log.ts';
import { makeOutbox } from './outbox.ts';
import { lookForDisagreements, newsBetween, type Standing, standingOf } from './overtaken.ts';
import { makeReplica } from './replica.ts';
import { newsOf, takeAnswer, tellNews } from './returned.ts';
import { dropSeen, type readSeen, recall, remember } from './seen.ts';
import {
  askInto,
  heard,
  itemCell,
  itemsOnScreen,
  jobCell,
  missing,
  personName,
  type Shown,
  show,
  tellOffline,
  unheard,
  watchedItems,
  watchedJobs,
} from './shown.ts';
import { alone, tellTabs } from './tabs.ts';

/*
 * The device's own copy: the person's jobs, open in the rule book with what waits in the outbox
 * folded in, and what the screens show of them. Where the rule book cannot run, or has not arrived
 * yet, views come from the service.
 */

export const outbox = makeOutbox({
  shelf: device().then(({ shelf }) => shelf),
  onAnswer: takeAnswer,
  onSettled: afterAnswer,
  pulls: isLocal,
  onSignedOut: leave,
  onChange: () => tellTabs('outbox'),
  alone,
});

const rules = jobsOver({
  call: (name, input) => rulebook().call(name, input),
  callText: (name, json) => rulebook().callText(name, json),
});

export const replica = makeReplica({
  jobs: rules,
  keep: device().then(({ keep }) => keep),
  eyes,
  fetchState: api.state,
  fetchLog: api.log,
  unpulled: (job) => outbox.unpulled(job),
  onBegun: (job, seq) => first.begun(job, seq),
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
  onMade: (made) => {
    const { job, of } = made;
    // What was never on the screen is not what the app opens on.
    if (of !== job && !watchedItems.has(of) && !kept.has(of)) return;
    kept.add(of);
    // It is made of all that is here: nothing is left to make anew.
    if (of === job) clearTimeout(pausing.get(job));
    if (session.peek().state === 'in') remember(made, eyes());
  },
  onApplied: (job, touched) => dropSeen([job, ...touched]),
  onChange: (job, items) => {
    const shown = render(job, items);
    rendering.set(job, shown);
    const now = session.peek();
    if (now.state !== 'in') return;
    void shown
      .then(() => lookForDisagreements(replica, job, items, now.me.person_id))
      .catch(() => undefined);
    if (!watchedJobs.has(job)) makeAnewLater(job);
  },
});

const first = firstViews((view) => {
  if (session.peek().state !== 'in' || waits(view.id)) return;
  kept.add(view.id);
  remember({ job: view.id, of: view.id, view, outbox: [] }, eyes());
});

/** True while something of a job is here that the log has not shown. */
function waits(job: string): boolean {
  return outbox.unpulled(job, whoAsks()).length > 0;
}

/** True where the service's view is shown, of more than is held here: the pull brings the rest. */
function isAhead(job: string, seq = 0): boolean {
  return seq > replica.seq(job) && !waits(job);
}

const rendering = new Map<string, Promise<void>>();

/** Kept when what was last done in a job is on the screen. */
export function rendered(job: string): Promise<void> {
  return rendering.get(job) ?? Promise.resolve();
}

/** What was on the screen since the page was opened. */
const kept = new Set<string>();

// The job's own screen is not open, and is where the app may be opened next.
const pause = 1_500;
const pausing = new Map<string, ReturnType<typeof setTimeout>>();

function makeAnewLater(job: string): void {
  clearTimeout(pausing.get(job));
  pausing.set(
    job,
    setTimeout(() => {
      pausing.delete(job);
      if (isLocal(job)) replica.viewJob(job).catch(() => undefined);
    }, pause),
  );
}

/** True while the job is looked at and worked on here, and not by the service's views. */
export function isLocal(job: string): boolean {
  return !missing.value && replica.isOpen(job);
}

const openings = new Map<string, Promise<boolean>>();

/** Kept when a job that is being opened is open, and tells whether it is. */
export function opening(job: string): Promise<boolean> {
  return openings.get(job) ?? Promise.resolve(false);
}

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
export async function render(job: string, items: readonly string[] | null): Promise<void> {
  const here = itemsOnScreen(job).filter((item) => items === null || items.includes(item));
  await Promise.all([
    ...here.map((item) => showItem(job, item)),
    ...(watchedJobs.has(job) ? [showJob(job)] : []),
  ]).catch(() => undefined);
}

async function showItem(job: string, item: string): Promise<void> {
  const view = await replica.viewItem(job, item);
  if (view === null) itemCell(item).value = { gone: t('item.gone.more') };
  else show(itemCell(item), view);
}

async function showJob(job: string): Promise<void> {
  show(jobCell(job), await replica.viewJob(job));
}

/** Shows what the device kept of screens as they last stood, where nothing newer is shown; whether it had any. */
export async function showSeen(
  ids: readonly string[],
  reading?: ReturnType<typeof readSeen>,
): Promise<boolean> {
  const now = session.peek();
  if (now.state !== 'in') return false;
  await outbox.ready;
  const { person_id } = now.me;
  const rows = await recall(ids, eyes(), (job) => outbox.unpulled(job, person_id), reading);
  const still = session.peek();
  if (still.state !== 'in' || still.me.person_id !== person_id) return false;
  batch(() => {
    for (const { of, job_id, view } of rows) {
      // What is kept under a job's id is the job's view, and under an item's the item's.
      if (of === job_id) showFirst(jobCell(of), readView<JobView>(view));
      else showFirst(itemCell(of), readView<ItemView>(view));
      kept.add(of);
    }
  });
  return rows.length > 0;
}

function showFirst<T>(cell: Signal<Shown<T>>, view: T): void {
  if (cell.value.view === undefined) cell.value = { ...cell.value, view };
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
export async function pullLog(job: string): Promise<void> {
  const offline = (is: boolean) => {
    tellOffline(jobCell(job), is);
    for (const item of itemsOnScreen(job)) tellOffline(itemCell(item), is);
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

/** The job is no longer this person's: it leaves the device. What they did and is unsent does not. */
export async function jobGone(job: string, sentence: string): Promise<void> {
  const [row] = outbox.unpulled(job);
  if (row !== undefined) {
    await tellNews([{ ...newsOf('job_gone', row), id: `${job} gone` }]);
  }
  // Opened by this page or not: a page that was killed before it heard so has left it there.
  await replica.forget(job).catch(() => undefined);
  await outbox.pulled(job, Number.MAX_SAFE_INTEGER);
  jobCell(job).value = { gone: sentence };
  for (const item of itemsOnScreen(job)) itemCell(item).value = { gone: sentence };
}

/** A log's entries in words, the last first, as far as this device holds the log. */
export async function itemLog(job: string, item: string): Promise<EntryView[] | null> {
  if (!isLocal(job)) return null;
  try {
    const entries: Entry[] | null = await replica.itemLog(job, item);
    if (entries === null) return null;
    return namedLog(await rules.viewEntries(entries, eyes().reader), entries, personName);
  } catch {
    return null;
  }
}

export async function pullJob(job: string): Promise<void> {
  const shown = jobCell(job);
  if (shown.value.view === undefined) await showSeen([job]);
  const ask = async () => {
    const view = await api.job(job);
    heard(job, view.seq);
    return view;
  };
  const askOnce = besideRules(job, shown, ask);
  if (await openLocal(job)) {
    if (!isAhead(job, shown.value.view?.seq)) await showJob(job).catch(() => undefined);
    lookThrough(job);
    void pullCompany();
    return pullLog(job);
  }
  // The first time: the service's view is here before the whole log is.
  const asked = askInto(
    shown,
    async () => {
      const view = await askOnce();
      first.served(job, view);
      return view;
    },
    (view) => !isLocal(job) && view.seq >= (shown.value.view?.seq ?? 0),
  );
  void beginPull(job, asked).then(() => (isLocal(job) ? showJob(job) : undefined));
  return asked;
}

export async function pullItem(job: string, item: string): Promise<void> {
  const shown = itemCell(item);
  if (shown.value.view === undefined) await showSeen([item]);
  const ask = () => api.item(job, item);
  const askOnce = besideRules(job, shown, ask);
  if (await openLocal(job)) {
    if (!isAhead(job, shown.value.view?.through_seq)) {
      await showItem(job, item).catch(() => undefined);
    }
    lookThrough(job);
    return pullLog(job);
  }
  const asked = askInto(shown, askOnce, (view) => !isLocal(job) && isNewer(shown.value, view));
  void beginPull(job, asked).then(() => (isLocal(job) ? showItem(job, item) : undefined));
  return asked;
}

/** A job that is new here is pulled when the service's view of it stands: the rules would hold that up. */
async function beginPull(job: string, asked: Promise<void>): Promise<void> {
  await asked;
  await drawn();
  await pullLog(job);
}

/** Asks the service at once where nothing is shown yet and the rule book does not have the job open. */
function besideRules<T>(job: string, shown: Signal<Shown<T>>, ask: () => Promise<T>) {
  if (shown.value.view !== undefined || isLocal(job)) return ask;
  const asker = whoAsks();
  const asked = ask();
  void standIn(shown, asked, () => whoAsks() !== asker || waits(job));
  // Seconds later: what was answered to someone else, or to a session that has ended, is asked anew.
  return () => (whoAsks() === asker ? asked.catch(ask) : ask());
}

function whoAsks(): string | undefined {
  const now = session.peek();
  return now.state === 'in' ? now.me.person_id : undefined;
}

function isNewer(shown: Shown<ItemView>, view: ItemView): boolean {
  return view.through_seq >= (shown.view?.through_seq ?? 0);
}

function afterAnswer(job: string, answer: CommandOutcomes): void {
  unheard.value = false;
  heard(job, answer.seq);
  if (isLocal(job)) {
    void pullLog(job);
    return;
  }
  const { view } = answer;
  if (view !== undefined) {
    const shown = itemCell(view.id);
    if (isNewer(shown.value, view)) shown.value = { view };
  }
  // Poles elsewhere stand on the same log; the view that came along is of one item only.
  if (jobCell(job).value.view !== undefined) void pullJob(job);
}

// The company's rules bear on every view.
effect(() => {
  company.value;
  untracked(() => {
    const jobs = [...watchedItems.values()].map(({ job }) => job);
    for (const job of new Set([...watchedJobs.keys(), ...jobs])) {
      if (isLocal(job)) void render(job, null);
    }
  });
});

/** The next person at this device begins with nothing of the last one's. */
export function closeLocal(): void {
  older.clear();
  lookedThrough.clear();
  meanwhile.clear();
  kept.clear();
  first.forget();
  replica.close();
}
