/**
 * Jobs the rule book keeps open, each under a name of the caller's. A state crosses once and its
 * entries as they come; views and decisions are asked of it by name. Two names may hold one job:
 * what the server has confirmed, and a copy with what still waits in the outbox folded in.
 *
 * A rule book that was loaded afresh has no job open: every call about one is then refused with
 * the code not_open, and the caller opens it again from what it keeps.
 */
import type { components } from '../api/schema.ts';
import type { Command, EntryView, FindingView, ItemView, JobView } from '../api/views.ts';
import { type Rulebook, RulebookError, type Unit } from './rulebook.ts';
import { readView } from './view-text.ts';

export type Entry = components['schemas']['Entry'];

/** House rules by key; lengths in nanometers. */
export type RuleSet = Readonly<Record<string, number>>;

/** A whole job as its log has made it. It is the rule book's own: kept and handed back, not read. */
export interface JobState {
  readonly seq: number;
  readonly [part: string]: unknown;
}

/** For whom words are written. `step` is the finest division, in nanometers; `now` RFC 3339. */
export interface Reader {
  readonly language: string;
  readonly unit: Unit;
  readonly step: number;
  readonly now: string;
}

export interface Actor {
  readonly person_id: string;
  readonly role: Entry['role'];
}

export interface Question {
  readonly company: RuleSet;
  readonly command: Command;
  readonly actor: Actor;
  /** When it was done, corrected for the device's clock; RFC 3339. */
  readonly did_at: string;
  readonly now: string;
  readonly reader: Reader;
  /** Folds the entries into the job at once, numbered on from its last. */
  readonly keep?: boolean;
}

export interface Decision {
  readonly refused: boolean;
  /** Without numbers, unless they were kept. */
  readonly entries: readonly Entry[];
  /** In the reader's words. */
  readonly findings: readonly FindingView[];
}

export interface Applied {
  /** Last entry the job has now. */
  readonly seq: number;
  /** Items whose view may have changed. */
  readonly touched: readonly string[];
}

export type RefusalCode =
  | 'bad_input'
  | 'gap'
  | 'not_finite'
  | 'not_open'
  | 'not_there'
  | 'unknown_call';

/** The rule book would not answer; nothing has changed. */
export class CallRefused extends RulebookError {
  constructor(
    readonly code: RefusalCode,
    sentence: string,
  ) {
    super(sentence);
  }
}

export interface Jobs {
  /** Opens a kept state, else a job before its first entry; answers its last entry. */
  open(as: string, state?: JobState): Promise<number>;
  /** Opens a job of its own, equal to `from`. */
  copy(from: string, as: string): Promise<number>;
  close(as: string): Promise<void>;
  /** The state, to be kept. */
  state(as: string): Promise<JobState>;
  /** Folds in the entries the job has not had; refused with gap when one is missing between. */
  apply(as: string, entries: readonly Entry[]): Promise<Applied>;
  /** The state as text, to be kept; openText opens it again. */
  stateText(as: string): Promise<string>;
  openText(as: string, state: string): Promise<number>;
  /** apply, with the entries as the text of a JSON list. */
  applyText(as: string, entries: string): Promise<Applied>;
  decide(as: string, question: Question): Promise<Decision>;
  viewItem(as: string, item: string, company: RuleSet, reader: Reader): Promise<ItemView>;
  viewJob(as: string, company: RuleSet, reader: Reader): Promise<JobView>;
  /** The log in words. */
  viewEntries(entries: readonly Entry[], reader: Reader): Promise<EntryView[]>;
}

// The rule book writes ok first, and what was asked for is all that follows.
const within = (part: 'state' | 'view') => `{"ok":true,"${part}":`;

export function jobsOver(book: Pick<Rulebook, 'call' | 'callText'>): Jobs {
  const ask = async <Answer>(name: string, input: object): Promise<Answer> =>
    judged<Answer>(name, await book.call(name, input));
  const askText = async <Answer>(name: string, json: string): Promise<Answer> =>
    judged<Answer>(name, JSON.parse(await book.callText(name, json)));
  /** The answer's members are what the Go side of the same version writes. */
  const judged = <Answer>(name: string, answer: unknown): Answer => {
    if (typeof answer === 'object' && answer !== null && 'ok' in answer) {
      if (answer.ok === true) return answer as Answer;
      if ('code' in answer && 'sentence' in answer) {
        throw new CallRefused(answer.code as RefusalCode, String(answer.sentence));
      }
    }
    throw new RulebookError(`${name} answered neither a result nor a refusal`);
  };
  /** What an answer is about, as its text. */
  const inside = (name: string, part: 'state' | 'view', answer: string): string => {
    const head = within(part);
    if (answer.startsWith(head) && answer.endsWith('}')) return answer.slice(head.length, -1);
    return JSON.stringify(judged<Record<string, unknown>>(name, JSON.parse(answer))[part]);
  };
  const view = async <View extends ItemView | JobView>(
    name: 'view_item' | 'view_job',
    input: object,
  ): Promise<View> =>
    readView<View>(inside(name, 'view', await book.callText(name, JSON.stringify(input))));
  return {
    open: async (as, state) => (await ask<{ seq: number }>('open', { as, state })).seq,
    copy: async (from, as) => (await ask<{ seq: number }>('copy', { from, as })).seq,
    close: async (as) => {
      await ask('close', { as });
    },
    state: async (as) => (await ask<{ state: JobState }>('state', { as })).state,
    apply: (as, entries) => ask('apply', { as, entries }),
    stateText: async (as) =>
      inside('state', 'state', await book.callText('state', JSON.stringify({ as }))),
    openText: async (as, state) =>
      (await askText<{ seq: number }>('open', `{"as":${JSON.stringify(as)},"state":${state}}`)).seq,
    applyText: (as, entries) =>
      askText('apply', `{"as":${JSON.stringify(as)},"entries":${entries}}`),
    decide: (as, question) => ask('decide', { as, ...question }),
    viewItem: (as, item, company, reader) => view('view_item', { as, item, company, reader }),
    viewJob: (as, company, reader) => view('view_job', { as, company, reader }),
    viewEntries: async (entries, reader) =>
      (await ask<{ entries: EntryView[] }>('view_entries', { entries, reader })).entries,
  };
}
