import type { ItemView, JobView } from '../api/views.ts';
import {
  CallRefused,
  type Decision,
  type Entry,
  type Jobs,
  type Question,
  type Reader,
  type RuleSet,
} from '../rulebook/jobs.ts';
import type { OutboxRow } from './db.ts';
import type { Keep } from './keep.ts';
import { olderLog } from './older-log.ts';
import { readPage, readState } from './pulled.ts';

/** Who looks and decides, and by which clock; asked anew each time. */
export interface Eyes {
  readonly person: string;
  readonly role: Entry['role'];
  readonly company: RuleSet;
  readonly reader: Reader;
  /** A device's time by the service's clock. */
  corrected(deviceTime: string): string;
}

/** A view made here of a job or an item, and what of the outbox is in it. */
export interface Made {
  readonly job: string;
  /** The job's id, or the item's. */
  readonly of: string;
  readonly view: ItemView | JobView;
  readonly outbox: readonly OutboxRow[];
}

export interface ReplicaConfig {
  readonly jobs: Jobs;
  readonly keep: Promise<Keep>;
  readonly eyes: () => Eyes;
  /** A whole job as it stands, as text. */
  readonly fetchState: (job: string) => Promise<string>;
  /** A stretch of a job's log, as text. */
  readonly fetchLog: (job: string, after: number, limit: number) => Promise<string>;
  /** What the log does not show yet, in order: not sent, or not pulled. */
  readonly unpulled: (job: string) => readonly OutboxRow[];
  /** Told of a job that is new here how far its state goes, which is about to be kept. */
  readonly onBegun?: (job: string, seq: number) => void;
  /** Told before what was just heard of a job that is here is folded in. */
  readonly onHeard?: (job: string) => Promise<void>;
  /** Told once entries up to seq are on the device, and before the screens show them. */
  readonly onPulled: (job: string, seq: number) => Promise<void>;
  /** Told of every view that was made of all that is held here. */
  readonly onMade?: (made: Made) => void;
  /** Told what entries have changed, before they are on the device. */
  readonly onApplied?: (job: string, touched: readonly string[]) => void;
  /** Told which items may look different now; null is all of the job. */
  readonly onChange: (job: string, items: readonly string[] | null) => void;
}

/** A person's jobs on the device, kept open in the rule book. Each job does one thing at a time. */
export interface Replica {
  /** Opens what the device has of a job; false when it has nothing. */
  open(job: string): Promise<boolean>;
  /** True for a job that can be looked at and worked on here, now. */
  isOpen(job: string): boolean;
  /** The last entry of the service's log that is held here. */
  seq(job: string): number;
  /** Pulls what the log has past that, all of it. Throws what the service or the signal refuses. */
  pull(job: string): Promise<void>;
  /**
   * Decides a command here and, when the rules let it through, has it kept by `keep`; the job shows
   * it from then on. Nothing shows before it is kept.
   */
  decide(row: OutboxRow, keep: () => Promise<void>): Promise<Decision>;
  /** Folds what waits into the job afresh: the outbox has changed by another hand. */
  refold(job: string): Promise<void>;
  viewItem(job: string, item: string): Promise<ItemView | null>;
  /** An item by the service's log alone, without what waits here. */
  viewConfirmed(job: string, item: string): Promise<ItemView | null>;
  viewJob(job: string): Promise<JobView>;
  /** Fetches the part of the log from before the job was first here, for itemLog. */
  fetchOlder(job: string): Promise<void>;
  /** What the log says of an item, the last first; null when the device does not hold all of it. */
  itemLog(job: string, item: string): Promise<Entry[] | null>;
  /** Closes a job and forgets it on the device. */
  forget(job: string): Promise<void>;
  /** Closes everything; the device keeps it. */
  close(): void;
}

interface Held {
  seq: number;
  /** The last entry in the state on the device. */
  stateSeq: number;
  open: boolean;
  /** What is folded into the working copy, in order; null when there is no copy. */
  folded: readonly OutboxRow[] | null;
  /** The last entry below what is folded in. */
  foldedOn: number;
  tail: Promise<unknown>;
  pull: Promise<void>;
  nextPull: Promise<void> | null;
}

const pageMost = 5000;
// The state is written anew after this many entries; until then it is the last one and the log.
const stateEvery = 400;

export function makeReplica(config: ReplicaConfig): Replica {
  const { jobs } = config;
  const older = olderLog(config);
  const held = new Map<string, Held>();
  let opened = 0;

  const of = (job: string): Held => {
    let one = held.get(job);
    if (one === undefined) {
      one = {
        seq: 0,
        stateSeq: 0,
        open: false,
        folded: null,
        foldedOn: 0,
        tail: Promise.resolve(),
        pull: Promise.resolve(),
        nextPull: null,
      };
      held.set(job, one);
    }
    return one;
  };

  /** Runs work when the job's earlier work is done. A rule book loaded afresh is given the job again. */
  const inTurn = <T>(job: string, work: (one: Held) => Promise<T>): Promise<T> => {
    const one = of(job);
    const turn = one.tail.then(async () => {
      try {
        return await work(one);
      } catch (cause) {
        if (!(cause instanceof CallRefused && cause.code === 'not_open')) throw cause;
        for (const each of held.values()) each.open = false;
        await openHeld(job, one);
        return await work(one);
      }
    });
    one.tail = turn.catch(() => undefined);
    return turn;
  };

  const working = (job: string) => `${job} as it will be`;
  /** The name of what screens show: with what waits, where something does. */
  const shown = (job: string, one: Held) => (one.folded === null ? job : working(job));

  const openHeld = async (job: string, one: Held): Promise<boolean> => {
    if (one.open) return true;
    const began = opened;
    const { person } = config.eyes();
    const keep = await config.keep;
    const kept = await keep.state(person, job);
    const log = await keep.log(person, job, kept?.seq ?? 0);
    if (kept === undefined && log.length === 0) return false;
    one.seq = kept === undefined ? await jobs.open(job) : await jobs.openText(job, kept.state);
    one.stateSeq = kept?.seq ?? 0;
    for (const { entries } of log) {
      const applied = await jobs.applyText(job, entries).catch((cause) => {
        if (cause instanceof CallRefused && cause.code === 'gap') return null;
        throw cause;
      });
      // What is missing between is pulled again.
      if (applied === null) break;
      one.seq = applied.seq;
    }
    if (began !== opened) return false;
    one.open = true;
    await fold(job, one);
    return true;
  };

  const question = (row: OutboxRow): Question => {
    const { person, role, company, reader, corrected } = config.eyes();
    return {
      company,
      command: row.command,
      actor: { person_id: person, role },
      did_at: corrected(row.command.at),
      now: reader.now,
      reader,
      keep: true,
    };
  };

  /** Makes the working copy anew: what is confirmed, and what waits on top, in order. */
  const fold = async (job: string, one: Held): Promise<void> => {
    const rows = config.unpulled(job);
    if (rows.length === 0) {
      if (one.folded !== null) await jobs.close(working(job));
      one.folded = null;
      return;
    }
    await jobs.copy(job, working(job));
    for (const row of rows) await jobs.decide(working(job), question(row));
    one.folded = rows;
    one.foldedOn = one.seq;
  };

  const tellMade = (job: string, of: string, view: ItemView | JobView, one: Held): void => {
    // A working copy below which the log has moved on is about to be made anew.
    if (one.folded !== null && one.foldedOn !== one.seq) return;
    config.onMade?.({ job, of, view, outbox: one.folded ?? [] });
  };

  const view = (
    copy: (one: Held) => string,
    job: string,
    item: string,
    tell: typeof tellMade = () => undefined,
  ) =>
    inTurn(job, async (one) => {
      const { company, reader } = config.eyes();
      try {
        const made = await jobs.viewItem(copy(one), item, company, reader);
        tell(job, item, made, one);
        return made;
      } catch (cause) {
        if (cause instanceof CallRefused && cause.code === 'not_there') return null;
        throw cause;
      }
    });

  const itemsOf = (rows: readonly OutboxRow[]): string[] =>
    rows.flatMap(({ command }) => (command.item_id === undefined ? [] : [command.item_id]));

  const writeState = async (job: string, person: string, one: Held): Promise<void> => {
    const seq = one.seq;
    const state = await jobs.stateText(job);
    await (await config.keep).setState({ person_id: person, job_id: job, seq, state });
    one.stateSeq = seq;
  };

  /** A job that is new here: as it stands, in one answer. Its older log is fetched when there is time. */
  const beginFrom = (job: string, person: string, answer: string): Promise<void> =>
    inTurn(job, async (one) => {
      const { state, seq } = readState(answer);
      const keep = await config.keep;
      const kept = keep
        .setState({ person_id: person, job_id: job, seq, state })
        .catch(() => undefined);
      config.onBegun?.(job, seq);
      one.seq = await jobs.openText(job, state);
      one.stateSeq = one.seq;
      await kept;
    });

  /** The job waits for nothing of the network: between two stretches a tick gets its turn. */
  const pullAll = async (job: string): Promise<void> => {
    const { person } = config.eyes();
    const began = opened;
    const first = !(await inTurn(job, (one) => openHeld(job, one)));
    if (first) await beginFrom(job, person, await config.fetchState(job));
    const from = of(job).seq;
    if (began !== opened) return;
    const keep = await config.keep;
    const touched = new Set<string>();
    let seq = from;
    let told = first;
    // The next stretch is on its way while this one is folded in.
    let coming = config.fetchLog(job, seq, pageMost);
    for (let more = true; more; ) {
      const page = readPage(await coming);
      if (began !== opened) return;
      more = page.more && page.lastSeq > seq;
      if (page.lastSeq <= seq) break;
      seq = page.lastSeq;
      if (more) {
        coming = config.fetchLog(job, seq, pageMost);
        coming.catch(() => undefined);
      }
      if (!told) await config.onHeard?.(job).catch(() => undefined);
      told = true;
      const row = {
        person_id: person,
        job_id: job,
        first_seq: page.firstSeq,
        last_seq: seq,
        entries: page.entries,
      };
      // Folded in first: what it changed is then known, and leaves the device with the same step.
      await inTurn(job, async (one) => {
        const applied = await jobs.applyText(job, page.entries);
        one.seq = applied.seq;
        for (const item of applied.touched) touched.add(item);
        config.onApplied?.(job, applied.touched);
        await keep.addLog(row, [job, ...applied.touched]).catch(() => undefined);
      });
    }
    await config.onPulled(job, seq);
    await inTurn(job, async (one) => {
      one.open = true;
      const [before, now] = [one.folded ?? [], config.unpulled(job)];
      if (first || touched.size > 0 || !same(before, now)) {
        await fold(job, one);
        config.onChange(job, first ? null : [...touched, ...itemsOf(before), ...itemsOf(now)]);
      }
    });
    await inTurn(job, async (one) => {
      if (one.seq - one.stateSeq >= stateEvery || (one.stateSeq === 0 && one.seq > 0)) {
        await writeState(job, person, one).catch(() => undefined);
      }
    });
  };

  return {
    open: (job) => inTurn(job, (one) => openHeld(job, one)),
    isOpen: (job) => held.get(job)?.open === true,
    seq: (job) => held.get(job)?.seq ?? 0,

    pull(job) {
      const one = of(job);
      // One is under way: the log may have grown since it asked, so one more follows, for all.
      one.nextPull ??= one.pull
        .catch(() => undefined)
        .then(() => {
          one.nextPull = null;
          one.pull = pullAll(job);
          return one.pull;
        });
      return one.nextPull;
    },

    decide: (row, kept) =>
      inTurn(row.job_id, async (one) => {
        const job = row.job_id;
        if (one.folded === null) {
          await jobs.copy(job, working(job));
          one.folded = [];
          one.foldedOn = one.seq;
        }
        const decision = await jobs.decide(working(job), question(row));
        if (decision.refused) return decision;
        one.folded = [...one.folded, row];
        await kept();
        config.onChange(job, row.command.item_id === undefined ? null : [row.command.item_id]);
        return decision;
      }),

    refold: (job) =>
      inTurn(job, async (one) => {
        if (!one.open) return;
        const [before, now] = [one.folded ?? [], config.unpulled(job)];
        if (same(before, now)) return;
        await fold(job, one);
        config.onChange(job, [...itemsOf(before), ...itemsOf(now)]);
      }),

    viewItem: (job, item) => view((one) => shown(job, one), job, item, tellMade),

    viewConfirmed: (job, item) => view(() => job, job, item),

    viewJob: (job) =>
      inTurn(job, async (one) => {
        const { company, reader } = config.eyes();
        const view = await jobs.viewJob(shown(job, one), company, reader);
        tellMade(job, job, view, one);
        return view;
      }),

    fetchOlder: (job) => older.fetch(job, of(job).seq),
    itemLog: (job, item) => older.ofItem(job, item, of(job).seq),

    forget: (job) =>
      inTurn(job, async (one) => {
        const { person } = config.eyes();
        one.open = false;
        one.folded = null;
        one.seq = 0;
        one.stateSeq = 0;
        await (await config.keep).forgetJob(person, job);
      }),

    close() {
      opened += 1;
      held.clear();
    },
  };
}

function same(a: readonly OutboxRow[], b: readonly OutboxRow[]): boolean {
  return a.length === b.length && a.every(({ id }, at) => id === b[at]?.id);
}
