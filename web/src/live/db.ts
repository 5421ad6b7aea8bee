import {
  type DBSchema,
  type IDBPDatabase,
  type IDBPTransaction,
  openDB,
  type StoreNames,
  wrap,
} from 'idb';
import type { Command, FindingView, JobLine, Me, Person } from '../api/views.ts';
import type { RuleSet } from '../rulebook/jobs.ts';
import { takeOpened } from './first-read.ts';

/*
 * Everything the device keeps, in one file. Names are snake_case, as in SQL and JSON. Rows carry the
 * person they belong to: a phone changes hands, and nobody's work goes out under another's name.
 */

/** A command between the thumb and the log. */
export interface OutboxRow {
  readonly id: string;
  readonly person_id: string;
  readonly job_id: string;
  readonly command: Command;
  /** What was done, as the screen said it; `nm` is printed beside it where there is one. */
  readonly said: string;
  readonly nm?: number;
  /** Why it could not be sent although the service was reached; it waits for the person. */
  readonly stuck?: string;
  /** This phone was signed out as lost: the service keeps it for a lead's word, and is asked again. */
  readonly held?: true;
  /** The log has it up to this number; it stays here until that number has been pulled. */
  readonly logged_seq?: number;
}

/** A command that the rules turned back, until its author has dealt with it and after. */
export interface RefusedRow {
  readonly id: string;
  readonly person_id: string;
  readonly job_id: string;
  readonly command: Command;
  readonly said: string;
  readonly nm?: number;
  readonly findings: readonly FindingView[];
  /** Device time. */
  readonly at: string;
  /** Who refused: the service's rules, or this phone's, and then it was never sent. */
  readonly by: 'log' | 'phone';
  /** The person has put it away; it stays to be looked up. */
  readonly away: boolean;
}

/** Something that happened to a person's work while they were away, to be told once. */
export interface NewsRow {
  readonly id: string;
  readonly person_id: string;
  readonly job_id: string;
  readonly item_id: string;
  readonly kind: 'reassigned' | 'removed' | 'job_gone' | 'tick_crossed';
  /** What this person had done, as the screen said it. */
  readonly said: string;
  readonly who?: string;
  readonly stage?: string;
  readonly at: string;
}

/** A job as the rule book holds it, as text: it is kept and handed back, never read here. */
export interface JobRow {
  readonly person_id: string;
  readonly job_id: string;
  readonly seq: number;
  readonly state: string;
}

/** A stretch of a job's log, as the text of a JSON list. */
export interface LogRow {
  readonly person_id: string;
  readonly job_id: string;
  readonly first_seq: number;
  readonly last_seq: number;
  readonly entries: string;
}

/** What a person's screens need besides the jobs themselves. */
export interface PersonRow {
  readonly person_id: string;
  readonly me: Me;
  readonly jobs: readonly JobLine[];
  readonly people: readonly Person[];
  readonly company: RuleSet;
}

/** A screen as it last stood. It is shown until the rule book is loaded, and only while it holds. */
export interface ViewRow {
  readonly person_id: string;
  /** The job or item it shows. */
  readonly of: string;
  readonly job_id: string;
  /** By which app and rule book, in which language and unit, under which house rules. */
  readonly made: string;
  /** The commands in it that the log did not have. */
  readonly outbox: readonly string[];
  /** When time alone makes it another: something in it has dried. */
  readonly until: string | null;
  /** As the rule book wrote it. */
  readonly view: string;
}

export interface Tables extends DBSchema {
  outbox: { key: string; value: OutboxRow };
  refused: { key: string; value: RefusedRow; indexes: { by_person: string } };
  news: { key: string; value: NewsRow; indexes: { by_person: string } };
  jobs: { key: [person: string, job: string]; value: JobRow };
  log: { key: [person: string, job: string, first: number]; value: LogRow };
  persons: { key: string; value: PersonRow };
  views: {
    key: [person: string, of: string];
    value: ViewRow;
    indexes: { by_job: [string, string] };
  };
}

export type Db = IDBPDatabase<Tables>;

type Step = (
  db: Db,
  change: IDBPTransaction<Tables, StoreNames<Tables>[], 'versionchange'>,
) => void | Promise<void>;

/**
 * One step a version, in order, never edited once released: a phone that was away for months walks
 * all of them. A step adds stores or indexes or rewrites rows; it never deletes an outbox row. The
 * transaction is in `change`; nothing else may be awaited in a step.
 */
const steps: readonly Step[] = [
  (db) => {
    db.createObjectStore('outbox', { keyPath: 'id' });
    db.createObjectStore('refused', { keyPath: 'id' }).createIndex('by_person', 'person_id');
    db.createObjectStore('news', { keyPath: 'id' }).createIndex('by_person', 'person_id');
    db.createObjectStore('jobs', { keyPath: ['person_id', 'job_id'] });
    db.createObjectStore('log', { keyPath: ['person_id', 'job_id', 'first_seq'] });
    db.createObjectStore('persons', { keyPath: 'person_id' });
  },
  (db) => {
    const views = db.createObjectStore('views', { keyPath: ['person_id', 'of'] });
    views.createIndex('by_job', ['person_id', 'job_id']);
    // Where views lay before. Nobody waits for it to be gone.
    indexedDB.deleteDatabase('longpoint_seen');
  },
];

export const dbName = 'longpoint';
export const dbVersion = steps.length;

// A page of an older app that the system has put to sleep does not give the store up to be upgraded,
// and what is entered meanwhile must lie somewhere. On a slow phone a store opens in under a second.
const patience = 6_000;

/**
 * Opens the device's store, or answers null where the browser has none to give (a private window,
 * a full disk) or not in time: the app then works as long as the page and says so.
 */
export async function openDb(name = dbName, wait = patience): Promise<Db | null> {
  const opening = open(name);
  let timer: ReturnType<typeof setTimeout> | undefined;
  const late = new Promise<null>((done) => {
    timer = setTimeout(done, wait, null);
  });
  const db = await Promise.race([opening, late]);
  clearTimeout(timer);
  // Nobody uses it once it is there, and it must not stand in another page's way.
  if (db === null) void opening.then((unused) => unused?.close());
  return db;
}

async function open(name: string): Promise<Db | null> {
  try {
    const early = name === dbName ? await takeOpened() : null;
    if (early?.version === dbVersion) return wrap(early) as Db;
    early?.close();
    const db: Db = await openDB<Tables>(name, dbVersion, {
      async upgrade(opened, from, _to, change) {
        for (const step of steps.slice(from)) await step(opened, change);
      },
      // A newer app in another tab wants to walk its steps: it must not wait for this one. What
      // this page keeps after that goes to localStorage, and is carried over at the next start.
      blocking(_from, _to, event) {
        (event.target as IDBDatabase).close();
      },
    });
    return db;
  } catch {
    return null;
  }
}

/** A write that is on the disk when the promise is kept, not only in the system's buffers. */
export const onDisk = { durability: 'strict' } as const;
