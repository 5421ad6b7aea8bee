import { type Db, type NewsRow, type OutboxRow, onDisk, type RefusedRow } from './db.ts';

/** What one step does to what is kept: all of it or nothing. */
export interface Step {
  readonly put?: readonly OutboxRow[];
  readonly remove?: readonly string[];
  readonly refused?: readonly RefusedRow[];
  readonly news?: readonly NewsRow[];
}

/** Where a person's unsent work lies, and what came back of it. */
export interface Shelf {
  /** Everyone's, in the order it was done. */
  outbox(): Promise<OutboxRow[]>;
  refused(person: string): Promise<RefusedRow[]>;
  news(person: string): Promise<NewsRow[]>;
  /** Kept when the promise is: on the disk. It rejects where there is no room. */
  take(step: Step): Promise<void>;
  forgetNews(id: string): Promise<void>;
}

/** The device's database. */
export function dbShelf(db: Db): Shelf {
  return {
    outbox: async () => inOrder(await db.getAll('outbox')),
    refused: (person) => db.getAllFromIndex('refused', 'by_person', person),
    news: (person) => db.getAllFromIndex('news', 'by_person', person),
    async take({ put = [], remove = [], refused = [], news = [] }) {
      const change = db.transaction(['outbox', 'refused', 'news'], 'readwrite', onDisk);
      const outbox = change.objectStore('outbox');
      const turnedBack = change.objectStore('refused');
      const told = change.objectStore('news');
      await Promise.all([
        ...put.map((row) => outbox.put(row)),
        ...refused.map((row) => turnedBack.put(row)),
        ...news.map((row) => told.put(row)),
        ...remove.map((id) => outbox.delete(id)),
        change.done,
      ]);
    },
    async forgetNews(id) {
      await db.delete('news', id);
    },
  };
}

const prefix = { outbox: 'longpoint.outbox.', refused: 'longpoint.refused.' };

/**
 * localStorage, for a browser without a database, and for the moment when another tab has taken the
 * database to a newer version. It keeps commands; what came back of them is kept as well as it can.
 */
export function storageShelf(storage: Storage): Shelf {
  return {
    outbox: async () => inOrder(read(storage, prefix.outbox).flatMap(asRow)),
    refused: async (person) => refusedIn(storage).filter((row) => row.person_id === person),
    news: async () => [],
    async take({ put = [], remove = [], refused = [] }) {
      for (const row of put) storage.setItem(prefix.outbox + row.id, JSON.stringify(row));
      for (const row of refused) storage.setItem(prefix.refused + row.id, JSON.stringify(row));
      for (const id of remove) storage.removeItem(prefix.outbox + id);
    },
    async forgetNews() {},
  };
}

/** Nothing outlives the page here, and the screens say so. */
export function noShelf(): Shelf {
  return {
    outbox: async () => [],
    refused: async () => [],
    news: async () => [],
    take: () => Promise.reject(new Error('nothing is kept in this browser')),
    forgetNews: async () => undefined,
  };
}

/**
 * Both: the database, and localStorage behind it for what the database would not take. What was
 * left in localStorage, by an older app too, is carried over when the shelf is opened: it leaves
 * there only once it is in the database, so a device switched off in between has it twice under
 * one id, which is once.
 */
export async function openShelf(db: Db | null, storage: Storage | null): Promise<Shelf> {
  const second = storage === null ? noShelf() : storageShelf(storage);
  if (db === null) return second;
  const first = dbShelf(db);
  try {
    const left = await second.outbox();
    const back = refusedIn(storage);
    if (left.length > 0 || back.length > 0) {
      const there = await Promise.all(back.map(({ id }) => db.get('refused', id)));
      const refused = once([...there.flatMap((row) => row ?? []), ...back]);
      await first.take({ put: left, refused });
      await second.take({ remove: left.map(({ id }) => id) });
      dropRefused(storage, back);
    }
  } catch {
    // The database took nothing: what is in localStorage stays there, and is read from there.
  }
  return {
    outbox: async () => {
      const [kept, beside] = await Promise.all([first.outbox(), second.outbox()]);
      const known = new Set(kept.map(({ id }) => id));
      return inOrder([...kept, ...beside.filter(({ id }) => !known.has(id))]);
    },
    refused: async (person) => {
      const kept = await first.refused(person).catch(() => []);
      return once([...kept, ...(await second.refused(person))]);
    },
    news: first.news,
    async take(step) {
      try {
        await first.take(step);
      } catch {
        await second.take(step);
        return;
      }
      const { remove = [], refused = [] } = step;
      dropRefused(storage, refused);
      if (remove.length > 0) await second.take({ remove }).catch(() => undefined);
    },
    forgetNews: first.forgetNews,
  };
}

/** Each once; what was put away in one place is. */
function once(rows: readonly RefusedRow[]): RefusedRow[] {
  const found = new Map<string, RefusedRow>();
  for (const row of rows) if (found.get(row.id)?.away !== true) found.set(row.id, row);
  return [...found.values()];
}

function refusedIn(storage: Storage | null): RefusedRow[] {
  return storage === null ? [] : (read(storage, prefix.refused) as RefusedRow[]);
}

function dropRefused(storage: Storage | null, rows: readonly RefusedRow[]): void {
  for (const { id } of rows) storage?.removeItem(prefix.refused + id);
}

function read(storage: Storage, from: string): unknown[] {
  const found: unknown[] = [];
  for (let at = 0; at < storage.length; at += 1) {
    const key = storage.key(at);
    if (key === null || !key.startsWith(from)) continue;
    try {
      found.push(JSON.parse(storage.getItem(key) ?? ''));
    } catch {
      // Not ours to judge and not ours to delete: it stays where it is, unread.
    }
  }
  return found;
}

/** The first app wrote a person's name for person_id, and the ids only in the command. */
function asRow(row: unknown): OutboxRow[] {
  const { person, ...rest } = row as OutboxRow & { readonly person?: string };
  if (rest.command?.id === undefined) return [];
  return [
    {
      ...rest,
      id: rest.command.id,
      job_id: rest.command.job_id,
      person_id: rest.person_id ?? person ?? '',
    },
  ];
}

/** A UUIDv7 sorts by the moment it was made. */
export function inOrder(rows: OutboxRow[]): OutboxRow[] {
  return rows.sort((a, b) => (a.id < b.id ? -1 : 1));
}
