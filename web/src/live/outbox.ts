import { computed, signal } from '@preact/signals';
import { submit } from '../api/client.ts';
import { Refusal, Unreachable } from '../api/refusal.ts';
import type { Command, CommandOutcomes, Outcome } from '../api/views.ts';

/** A command that has not been decided by the service yet. */
export interface Kept {
  readonly command: Command;
  /** Whose it is: another person's entries never go out under this one's name. */
  readonly person: string;
  /** What was done, as the screen said it; `nm` is printed beside it where there is one. */
  readonly said: string;
  readonly nm?: number;
  /** Why it could not be sent although the service was reached; it waits for the person. */
  readonly stuck?: string;
}

export interface Outbox {
  /** Everything this person did that the service has not decided yet, in the order it was done. */
  readonly waiting: { readonly value: readonly Kept[] };
  /** True while a try is under way. */
  readonly sending: { readonly value: boolean };
  /** True after a try found no service, until one finds it. */
  readonly cutOff: { readonly value: boolean };
  /** Keeps a command, then sends it. Resolves with what came of it, or null while it waits. */
  put(kept: Kept): Promise<Outcome | null>;
  /** Sends what may be sent. */
  push(): Promise<void>;
  /** Tries everything again now, what was turned back at the door too. */
  retry(): Promise<void>;
  /** Takes a stuck command out, by the person's own hand. */
  drop(id: string): void;
  /** Whose entries to send; null sends nothing. */
  belongsTo(person: string | null): void;
  /** True while something is kept by this page alone, because the storage would not take it. */
  onlyHere(): boolean;
  /** Reads the storage again: another tab put something there or sent it. */
  reread(): void;
}

export interface OutboxConfig {
  readonly storage: Storage | null;
  readonly send?: typeof submit;
  /** Told of every answered batch, so that views follow. */
  readonly onAnswer: (job: string, answer: CommandOutcomes, sent: readonly Command[]) => void;
  /** Told when the service says who this is has to be said again. */
  readonly onSignedOut: () => void;
  readonly wait?: (ms: number, then: () => void) => () => void;
  readonly chance?: () => number;
}

const prefix = 'longpoint.outbox.';
const batchMost = 100;
const firstWait = 2_000;
const longestWait = 60_000;
// A service that fails this often over the same part is not busy: that part waits for the person,
// so that it does not hold up the rest.
const failuresMost = 5;

/**
 * Commands between the thumb and the log. Each is written to the device's storage, under its own
 * id, before anything is sent; it leaves there only when the service has decided it. Sending twice
 * does nothing twice, so whatever is in doubt is sent again.
 */
export function makeOutbox(config: OutboxConfig): Outbox {
  const send = config.send ?? submit;
  const wait = config.wait ?? later;
  const chance = config.chance ?? Math.random;
  const all = signal<readonly Kept[]>(readAll(config.storage));
  const person = signal<string | null>(null);
  const sending = signal(false);
  const cutOff = signal(false);
  const answers = new Map<string, (outcome: Outcome | null) => void>();
  // What the storage would not take is only here; it must not be lost to a reread.
  const inMemory = new Set<string>();
  let again: (() => void) | null = null;
  let tries = 0;

  const store = (kept: Kept) => {
    try {
      if (config.storage === null) throw new Error('no storage');
      config.storage.setItem(prefix + kept.command.id, JSON.stringify(kept));
      inMemory.delete(kept.command.id);
    } catch {
      // Storage is off or full: kept as long as the page, and the screen says it is not sent.
      inMemory.add(kept.command.id);
    }
  };

  const mine = computed(() => all.value.filter((kept) => kept.person === person.value));

  const remove = (id: string) => {
    inMemory.delete(id);
    all.value = all.value.filter((kept) => kept.command.id !== id);
    try {
      config.storage?.removeItem(prefix + id);
    } catch {
      // Storage is off: it was only kept in memory.
    }
  };

  const replace = (kept: Kept) => {
    all.value = all.value.map((each) => (each.command.id === kept.command.id ? kept : each));
    store(kept);
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

  const batch = (): readonly Kept[] => {
    const ready = mine.value.filter(({ stuck }) => stuck === undefined);
    const job = ready[0]?.command.job_id;
    const same: Kept[] = [];
    for (const kept of ready) {
      if (kept.command.job_id !== job || same.length === batchMost) break;
      same.push(kept);
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
    for (let part = batch(); through && part.length > 0; part = batch()) {
      through = await sendPart(part);
    }
    sending.value = false;
    // Last of all: whoever hears that there is no answer yet may push again at once.
    if (!through) giveUpWaiting();
  };

  /** Sends one job's commands; false when the rest must wait. */
  const sendPart = async (part: readonly Kept[]): Promise<boolean> => {
    const commands = part.map(({ command }) => command);
    const job = commands[0]?.job_id ?? '';
    const view = commands.filter(({ item_id }) => item_id !== undefined).at(-1)?.item_id;
    let answer: CommandOutcomes;
    try {
      answer = await send(job, commands, view);
    } catch (cause) {
      return notSent(part, cause);
    }
    cutOff.value = false;
    tries = 0;
    // Out of storage first: were the page closed between the two, they are sent again and the
    // service answers as it did before.
    for (const outcome of answer.outcomes) remove(outcome.command_id);
    config.onAnswer(job, answer, commands);
    for (const outcome of answer.outcomes) settle(outcome.command_id, outcome);
    if (answer.outcomes.length < commands.length) {
      retryLater(null);
      return false;
    }
    return true;
  };

  const sendEach = async (part: readonly Kept[]): Promise<boolean> => {
    for (const kept of part) {
      if (!(await sendPart([kept]))) return false;
    }
    return true;
  };

  const notSent = async (part: readonly Kept[], cause: unknown): Promise<boolean> => {
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
      for (const kept of part) {
        replace({ ...kept, stuck: cause.sentence });
        settle(kept.command.id, null);
      }
      return true;
    }
    cutOff.value = cause instanceof Unreachable || !(cause instanceof Refusal);
    retryLater(cause instanceof Refusal ? cause.retryAfter : null);
    return false;
  };

  return {
    waiting: mine,
    sending,
    cutOff,
    put(kept) {
      store(kept);
      all.value = [...all.value, kept];
      const answered = new Promise<Outcome | null>((resolve) => {
        answers.set(kept.command.id, resolve);
      });
      void push();
      return answered;
    },
    push,
    retry() {
      for (const { stuck, ...kept } of mine.value) if (stuck !== undefined) replace(kept);
      return push();
    },
    drop(id) {
      remove(id);
      settle(id, null);
    },
    belongsTo(who) {
      person.value = who;
      if (who !== null) void push();
    },
    onlyHere: () => inMemory.size > 0,
    reread() {
      const only = all.value.filter(({ command }) => inMemory.has(command.id));
      all.value = inOrder([...readAll(config.storage), ...only]);
    },
  };
}

function readAll(storage: Storage | null): Kept[] {
  if (storage === null) return [];
  const found: Kept[] = [];
  for (let at = 0; at < storage.length; at += 1) {
    const key = storage.key(at);
    if (key === null || !key.startsWith(prefix)) continue;
    try {
      found.push(JSON.parse(storage.getItem(key) ?? '') as Kept);
    } catch {
      // Not ours to judge and not ours to delete: it stays where it is, unread.
    }
  }
  return inOrder(found);
}

/** A UUIDv7 sorts by the moment it was made. */
function inOrder(kept: Kept[]): Kept[] {
  return kept.sort((a, b) => (a.command.id < b.command.id ? -1 : 1));
}

function later(ms: number, then: () => void): () => void {
  const timer = setTimeout(then, ms);
  return () => clearTimeout(timer);
}
