import type { Entry } from '../rulebook/jobs.ts';
import type { Db, JobRow, LogRow, PersonRow, ViewRow } from './db.ts';

/** Where a person's jobs lie on the device. Without a database it is the page's memory. */
export interface Keep {
  person(id: string): Promise<PersonRow | undefined>;
  setPerson(row: PersonRow): Promise<void>;
  jobs(person: string): Promise<string[]>;
  state(person: string, job: string): Promise<JobRow | undefined>;
  setState(row: JobRow): Promise<void>;
  /** The log from a number on, in order. */
  log(person: string, job: string, after: number): Promise<LogRow[]>;
  /**
   * Adds a stretch that follows on what is there; one that is there already changes nothing. The
   * views of what it changed leave the device in the same step.
   */
  addLog(row: LogRow, changed?: readonly string[]): Promise<void>;
  /** Adds a stretch from before what is there. */
  addOlderLog(row: LogRow): Promise<void>;
  /** Screens as they last stood, of those asked for that are kept. */
  views(person: string, of: readonly string[]): Promise<ViewRow[]>;
  setViews(rows: readonly ViewRow[]): Promise<void>;
  forgetJob(person: string, job: string): Promise<void>;
  forgetPerson(person: string): Promise<void>;
}

// Small stretches are joined until a row is this long: a tick makes an entry, and a row for each
// would be slow to read back.
const rowLength = 96 * 1024;

export function dbKeep(db: Db): Keep {
  const ofJob = (person: string, job: string) =>
    IDBKeyRange.bound([person, job, 0], [person, job, Number.MAX_SAFE_INTEGER]);
  const ofPerson = (person: string) => IDBKeyRange.bound([person], [person, []]);
  return {
    person: (id) => db.get('persons', id),
    async setPerson(row) {
      await db.put('persons', row);
    },
    jobs: async (person) => (await db.getAllKeys('jobs', ofPerson(person))).map(([, job]) => job),
    state: (person, job) => db.get('jobs', [person, job]),
    async setState(row) {
      const change = db.transaction('jobs', 'readwrite');
      // Another tab may have written a later one.
      const there = await change.store.get([row.person_id, row.job_id]);
      if (there === undefined || there.seq < row.seq) await change.store.put(row);
      await change.done;
    },
    log: async (person, job, after) =>
      (await db.getAll('log', ofJob(person, job))).filter(({ last_seq }) => last_seq > after),
    async addLog(row, changed = []) {
      const change = db.transaction(['log', 'views'], 'readwrite');
      const [log, views] = [change.objectStore('log'), change.objectStore('views')];
      for (const of of changed) void views.delete([row.person_id, of]);
      const last = (await log.openCursor(ofJob(row.person_id, row.job_id), 'prev'))?.value;
      const joined = follow(last, row);
      if (joined !== null) await log.put(joined);
      await change.done;
    },
    async addOlderLog(row) {
      await db.put('log', row);
    },
    async views(person, of) {
      const { store } = db.transaction('views');
      const rows = await Promise.all(of.map((id) => store.get([person, id])));
      return rows.flatMap((row) => row ?? []);
    },
    async setViews(rows) {
      const change = db.transaction('views', 'readwrite');
      await Promise.all([...rows.map((row) => change.store.put(row)), change.done]);
    },
    async forgetJob(person, job) {
      const change = db.transaction(['jobs', 'log', 'views'], 'readwrite');
      const views = change.objectStore('views');
      for (const key of await views.index('by_job').getAllKeys([person, job])) {
        void views.delete(key);
      }
      await Promise.all([
        change.objectStore('jobs').delete([person, job]),
        change.objectStore('log').delete(ofJob(person, job)),
        change.done,
      ]);
    },
    async forgetPerson(person) {
      const change = db.transaction(['jobs', 'log', 'persons', 'views'], 'readwrite');
      await Promise.all([
        change.objectStore('views').delete(ofPerson(person)),
        change.objectStore('jobs').delete(ofPerson(person)),
        change.objectStore('log').delete(ofPerson(person)),
        change.objectStore('persons').delete(person),
        change.done,
      ]);
    },
  };
}

export function memoryKeep(): Keep {
  const persons = new Map<string, PersonRow>();
  const states = new Map<string, JobRow>();
  const logs = new Map<string, LogRow[]>();
  const key = (person: string, job: string) => `${person} ${job}`;
  const keep: Keep = {
    person: async (id) => persons.get(id),
    async setPerson(row) {
      persons.set(row.person_id, row);
    },
    jobs: async (person) =>
      [...states.values()].flatMap((row) => (row.person_id === person ? [row.job_id] : [])),
    state: async (person, job) => states.get(key(person, job)),
    async setState(row) {
      states.set(key(row.person_id, row.job_id), row);
    },
    log: async (person, job, after) =>
      (logs.get(key(person, job)) ?? []).filter(({ last_seq }) => last_seq > after),
    async addLog(row) {
      const at = key(row.person_id, row.job_id);
      const rows = logs.get(at) ?? [];
      const joined = follow(rows.at(-1), row);
      if (joined === null) return;
      logs.set(at, [...rows.filter(({ first_seq }) => first_seq < joined.first_seq), joined]);
    },
    async addOlderLog(row) {
      const at = key(row.person_id, row.job_id);
      const rows = (logs.get(at) ?? []).filter(({ first_seq }) => first_seq !== row.first_seq);
      logs.set(
        at,
        [...rows, row].sort((a, b) => a.first_seq - b.first_seq),
      );
    },
    // As long as the page, which has them itself.
    views: async () => [],
    setViews: async () => undefined,
    async forgetJob(person, job) {
      states.delete(key(person, job));
      logs.delete(key(person, job));
    },
    async forgetPerson(person) {
      persons.delete(person);
      for (const row of [...states.values()]) {
        if (row.person_id === person) await keep.forgetJob(person, row.job_id);
      }
    },
  };
  return keep;
}

/** The row to write so that the log goes on with a stretch, or null when it must not. */
export function follow(last: LogRow | undefined, next: LogRow): LogRow | null {
  if (last === undefined) return next;
  if (next.last_seq <= last.last_seq || next.first_seq > last.last_seq + 1) return null;
  if (next.first_seq <= last.last_seq) {
    // Another tab pulled part of it: only the rest is new.
    const entries = (JSON.parse(next.entries) as Entry[]).filter(({ seq }) => seq > last.last_seq);
    return follow(last, {
      ...next,
      first_seq: last.last_seq + 1,
      entries: JSON.stringify(entries),
    });
  }
  if (last.entries.length + next.entries.length > rowLength) return next;
  return {
    ...last,
    last_seq: next.last_seq,
    entries: `${last.entries.slice(0, -1)},${next.entries.slice(1)}`,
  };
}
