import { computed, type ReadonlySignal, signal } from '@preact/signals';
import { submit } from '../api/client.ts';
import { Refusal, Unreachable } from '../api/refusal.ts';
import type { Command, CommandOutcomes, Outcome } from '../api/views.ts';
import type { OutboxRow } from './db.ts';
import { inOrder, type Shelf, type Step } from './shelf.ts';

export interface Outbox {
  /** Everything this person did that the service has not decided yet, in the order it was done. */
  readonly waiting: ReadonlySignal<readonly OutboxRow[]>;
  /** How many entries wait here for someone else to sign in again, by person. */
  readonly others: ReadonlySignal<ReadonlyMap<string, number>>;
  /** True while a try is under way. */
  readonly sending: ReadonlySignal<boolean>;
  /** True after a try found no service, until one finds it. */
  readonly cutOff: ReadonlySignal<boolean>;
  /** False when what is waiting is only on this page: the device would not keep it. */
  readonly lasting: ReadonlySignal<boolean>;
  /** Kept when what lay on the device from before has been read. */
  readonly ready: Promise<void>;
  /**
   * What a job does not show yet: not sent, or in the log but not pulled from it. In order; of whoever
   * the outbox belongs to, unless another is named.
   */
  unpulled(job: string, person?: string): readonly OutboxRow[];
  /** Keeps a command: it is on the device when the promise is kept. */
  keep(row: OutboxRow): Promise<void>;
  /** What came of a kept command, or null while it waits. */
  answerOf(id: string): Promise<Outcome | null>;
  /** Sends what may be sent. */
  push(): Promise<void>;
  /** Sends what may be sent; true when nothing of that job is left that could go. */
  sent(job: string): Promise<boolean>;
  /** Tries everything again now, what was turned back at the door too. */
  retry(): Promise<void>;
  /** Sends what may be sent, and asks what became of what waits for a lead's word. */
  askAgain(job?: string): Promise<void>;
  /** The job's log has been pulled up to seq: what it held of the outbox is done with. */
  pulled(job: string, seq: number): Promise<void>;
  /** Takes a stuck command out, by the person's own hand. */
  drop(id: string): Promise<void>;
  /** Whose entries to send; null sends nothing. */
  belongsTo(person: string | null): void;
  /** True while something is kept by this page alone, because the device would not take it. */
  onlyHere(): boolean;
  /** Reads the shelf again: another tab put something there or sent it. */
  reread(): Promise<void>;
}

export interface OutboxConfig {
  readonly shelf: Promise<Shelf>;
  readonly send?: typeof submit;
  /** Told of every answered batch before it leaves the outbox; what it returns is kept with that step. */
  readonly onAnswer: (answer: CommandOutcomes, sent: readonly OutboxRow[]) => Step;
  /** Told after that step, so that views follow. */
  readonly onSettled: (job: string, answer: CommandOutcomes) => void;
  /** True for a job whose log is pulled here: its commands stay until they have come back that way. */
  readonly pulls: (job: string) => boolean;
  /** Told when the service says who this is has to be said again. */
  readonly onSignedOut: () => void;
  /** Told when the shelf has changed, for other tabs. */
  readonly onChange?: () => void;
  /** Runs work while no other tab runs any. */
  readonly alone?: (work: () => Promise<void>) => Promise<void>;
  readonly wait?: (ms: number, then: () => void) => () => void;
  readonly chance?: () => number;
}

const batchMost = 100;
const firstWait = 2_000;
const longestWait = 60_000;
// Nothing tells a phone of a lead's word: it asks.
const heldWait = 60_000;
// A service that fails this often over the same part is not busy: that part waits for the person,
// so that it does not hold up the rest.
const failuresMost = 5;

/**
 * Commands between the thumb and the log. Each is on the device, under its own id, before anything
 * is sent; it leaves there only when the service has decided it. Sending twice does nothing twice,
 * so whatever is in doubt is sent again.
 */
export function makeOutbox(config: OutboxConfig): Outbox {
  const send = config.send ?? submit;
  const wait = config.wait ?? later;
  const chance = config.chance ?? Math.random;
  const alone = config.alone ?? ((work) => work());
  const all = signal<readonly OutboxRow[]>([]);
  const person = signal<string | null>(null);
  const sending = signal(false);
  const cutOff = signal(false);
  const lasting = signal(true);
  const answers = new Map<string, (outcome: Outcome | null) => void>();
  // What the shelf would not take is only here; it must not be lost to a reread.
  const inMemory = new Set<string>();
  // Of what waits for a lead's word, what is to be asked for with the next push.
  const asking = new Set<string>();
  const seqs = new Map<string, number>();
  let asksLater: (() => void) | null = null;
  let again: (() => void) | null = null;
  let tries = 0;
  // Counts changes made here, so that a slow reread does not undo one.
  let changes = 0;

  const mine = computed(() => all.value.filter((row) => row.person_id === person.value));
  const waiting = computed(() => mine.value.filter((row) => row.logged_seq === undefined));
  const others = computed(() => {
    const counts = new Map<string, number>();
    for (const row of all.value) {
      if (row.person_id === person.value || row.logged_seq !== undefined) continue;
      counts.set(row.person_id, (counts.get(row.person_id) ?? 0) + 1);
    }
    return counts;
  });

  const reread = async (): Promise<void> => {
    const shelf = await config.shelf;
    for (;;) {
      const before = changes;
      const kept = await shelf.outbox().catch(() => null);
      if (kept === null) return;
      if (before !== changes) continue;
      const known = new Set(kept.map(({ id }) => id));
      const beside = all.value.filter(({ id }) => inMemory.has(id) && !known.has(id));
      all.value = inOrder([...kept, ...beside]);
      return;
    }
  };
  const ready = reread();

  /** Does one step on the device, then here. What the device would not take is kept here alone. */
  const take = async (step: Step): Promise<void> => {
    const { put = [], remove = [] } = step;
    const shelf = await config.shelf;
    let kept = true;
    try {
      await shelf.take(step);
    } catch {
      // Storage is off or full: kept as long as the page, and the screen says so.
      kept = false;
    }
    changes += 1;
    for (const row of put) {
      if (kept) inMemory.delete(row.id);
      else inMemory.add(row.id);
    }
    for (const id of remove) inMemory.delete(id);
    const gone = new Set([...remove, ...put.map(({ id }) => id)]);
    all.value = inOrder([...all.value.filter(({ id }) => !gone.has(id)), ...put]);
    lasting.value = inMemory.size === 0;
    config.onChange?.();
  };

  const settle = (id: string, outcome: Outcome | null) => {
    answers.get(id)?.(outcome);
    answers.delete(id);
  };

  /** Those who wait for an answer are told that there is none yet. */
  const giveUpWaiting = () => {
    for (const id of [...answers.keys()]) settle(id, null);
  };

  const retryLater = (asked: number | null) => {
    again?.();
    const most = Math.min(firstWait * 2 ** tries, longestWait);
    tries += 1;
    // Half fixed, half chance: a crew whose signal comes back together does not all call at once.
    const pause = asked === null ? most / 2 + (most / 2) * chance() : asked * 1000;
    again = wait(pause, () => {
      again = null;
      void push();
    });
  };

  /** What is not sent and waits for nobody's word. */
  const due = () =>
    waiting.value.filter(
      ({ id, stuck, held }) => stuck === undefined && (held !== true || asking.has(id)),
    );

  const batch = (): readonly OutboxRow[] => {
    const ready = due();
    const job = ready[0]?.job_id;
    const same: OutboxRow[] = [];
    for (const row of ready) {
      if (row.job_id !== job || same.length === batchMost) break;
      same.push(row);
    }
    return same;
  };

  let running = Promise.resolve();

  const push = (): Promise<void> => {
    // What is put while a push is under way goes with it: each part is read afresh.
    if (!sending.value) {
      sending.value = true;
      running = run();
    }
    return running;
  };

  const run = async (): Promise<void> => {
    again?.();
    again = null;
    let through = true;
    try {
      await ready;
      await alone(async () => {
        // Another tab may have sent some of it while this one waited its turn.
        await reread();
        for (let part = batch(); through && part.length > 0; part = batch()) {
          through = await sendPart(part);
        }
      });
    } catch {
      // The page is going, or its turn was taken: what is kept goes out from the next one.
      through = false;
    } finally {
      sending.value = false;
      // What was kept while the last part was being put away has not been looked at.
      if (through && batch().length > 0) void push();
      // Last of all: whoever hears that there is no answer yet may push again at once.
      if (!through) giveUpWaiting();
    }
  };

  /** Sends one job's commands; false when the rest must wait. */
  const sendPart = async (part: readonly OutboxRow[]): Promise<boolean> => {
    const commands = part.map(({ command }) => command);
    const { job_id: job = '', person_id = '' } = part[0] ?? {};
    const view = config.pulls(job)
      ? undefined
      : commands.filter(({ item_id }) => item_id !== undefined).at(-1)?.item_id;
    let answer: CommandOutcomes;
    try {
      answer = await send(job, commands, person_id, view);
    } catch (cause) {
      return notSent(part, cause);
    }
    cutOff.value = false;
    tries = 0;
    // One step on the device: out of the outbox, and what was refused into its own list. Were the
    // page closed before it, they are sent again and the service answers as it did.
    const step = config.onAnswer(answer, part);
    const [put, remove] = [[] as OutboxRow[], [] as string[]];
    for (const row of part) {
      asking.delete(row.id);
      if (answer.held?.includes(row.id)) put.push({ ...row, held: true });
    }
    for (const { command_id: id, applied, last_seq } of answer.outcomes) {
      const row = part.find((each) => each.id === id);
      if (applied && row !== undefined && last_seq !== undefined && config.pulls(job)) {
        const { stuck: _, held: __, ...rest } = row;
        put.push({ ...rest, logged_seq: last_seq });
      } else {
        remove.push(id);
      }
    }
    await take({ ...step, put, remove });
    config.onSettled(job, answer);
    for (const outcome of answer.outcomes) settle(outcome.command_id, outcome);
    for (const id of answer.held ?? []) settle(id, null);
    if ((answer.held ?? []).length > 0) {
      asksLater?.();
      asksLater = wait(heldWait, () => {
        asksLater = null;
        void askAgain();
      });
    }
    if (answer.outcomes.length + (answer.held?.length ?? 0) < commands.length) {
      retryLater(null);
      return false;
    }
    return true;
  };

  const sendEach = async (part: readonly OutboxRow[]): Promise<boolean> => {
    for (const row of part) {
      if (!(await sendPart([row]))) return false;
    }
    return true;
  };

  const notSent = async (part: readonly OutboxRow[], cause: unknown): Promise<boolean> => {
    if (cause instanceof Refusal && cause.status === 401) {
      cutOff.value = false;
      config.onSignedOut();
      return false;
    }
    const broken = cause instanceof Refusal && cause.status === 500 && tries >= failuresMost;
    if (cause instanceof Refusal && (!cause.passing || broken)) {
      cutOff.value = false;
      // Of several, which one was turned back is not said: each is then sent by itself.
      if (part.length > 1) return sendEach(part);
      await take({ put: part.map((row) => ({ ...row, stuck: cause.sentence })) });
      for (const { id } of part) settle(id, null);
      return true;
    }
    cutOff.value = cause instanceof Unreachable || !(cause instanceof Refusal);
    retryLater(cause instanceof Refusal ? cause.retryAfter : null);
    return false;
  };

  const askAgain = async (job?: string): Promise<void> => {
    await ready;
    for (const row of waiting.value)
      if (row.held === true && (job ?? row.job_id) === row.job_id) asking.add(row.id);
    return push();
  };

  return {
    waiting,
    others,
    sending,
    cutOff,
    lasting,
    ready,
    unpulled: (job, who = person.value ?? '') =>
      all.value.filter((row) => row.job_id === job && row.person_id === who),
    async keep(row) {
      await ready;
      await take({ put: [row] });
    },
    answerOf(id) {
      return new Promise((resolve) => {
        answers.set(id, resolve);
      });
    },
    push,
    async sent(job) {
      do {
        await push();
        if (!due().some(({ job_id }) => job_id === job)) return true;
      } while (sending.value);
      return false;
    },
    askAgain,
    async retry() {
      const stuck = waiting.value.filter((row) => row.stuck !== undefined);
      if (stuck.length > 0) await take({ put: stuck.map(({ stuck: _, ...row }) => row) });
      return askAgain();
    },
    async pulled(job, seq) {
      const done = mine.value.filter(
        (row) => row.job_id === job && row.logged_seq !== undefined && row.logged_seq <= seq,
      );
      if (done.length > 0) await take({ remove: done.map(({ id }) => id) });
      // The log grew: a lead may have taken up what waits for their word.
      const grown = seq > (seqs.get(job) ?? 0);
      seqs.set(job, seq);
      if (grown && waiting.value.some(({ held, job_id }) => held && job_id === job))
        void askAgain(job);
    },
    async drop(id) {
      await take({ remove: [id] });
      settle(id, null);
    },
    belongsTo(who) {
      person.value = who;
      if (who !== null) void askAgain();
    },
    onlyHere: () => inMemory.size > 0,
    reread,
  };
}

function later(ms: number, then: () => void): () => void {
  const timer = setTimeout(then, ms);
  return () => clearTimeout(timer);
}

/** What is to be kept of a command just made. */
export function rowOf(
  command: Command,
  person: string,
  said: { readonly said: string; readonly nm?: number },
): OutboxRow {
  return { id: command.id, person_id: person, job_id: command.job_id, command, ...said };
}
