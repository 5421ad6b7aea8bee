import { type DBSchema, type IDBPDatabase, openDB } from 'idb';
import type { ItemView, JobView } from '../api/views.ts';

/*
 * Each screen as it last stood, so that the app opens on it while the rule book still loads. A
 * second later the real view takes its place. It is no truth and nothing is decided by it: it lies
 * apart from the jobs themselves, and losing it costs that second.
 */

type View = ItemView | JobView;

interface Row {
  readonly person_id: string;
  /** The job or item it shows. */
  readonly of: string;
  /** Screens of another version may read a view differently: theirs is not shown. */
  readonly app: string;
  readonly view: View;
}

interface Tables extends DBSchema {
  views: { key: [person: string, of: string]; value: Row };
}

let opening: Promise<IDBPDatabase<Tables> | null> | undefined;

async function open(): Promise<IDBPDatabase<Tables> | null> {
  try {
    return await openDB<Tables>('longpoint_seen', 1, {
      upgrade(db) {
        db.createObjectStore('views', { keyPath: ['person_id', 'of'] });
      },
    });
  } catch {
    return null; // a browser without a database shows nothing until the rules are there
  }
}

function opened(): Promise<IDBPDatabase<Tables> | null> {
  opening ??= open();
  return opening;
}

// Opened while the page's other chunks still come.
void opened();

const waiting = new Map<string, Row>();
let writing = false;

/** Written at once: a page may be closed the moment after. What comes meanwhile goes together. */
export function remember(person: string, of: string, view: View): void {
  waiting.set(`${person} ${of}`, { person_id: person, of, app: version(), view });
  if (!writing) void write();
}

async function write(): Promise<void> {
  writing = true;
  const db = await opened();
  while (db !== null && waiting.size > 0) {
    const rows = [...waiting.values()];
    waiting.clear();
    const change = db.transaction('views', 'readwrite');
    // No room left: the next start is a second slower.
    await Promise.all([...rows.map((row) => change.store.put(row)), change.done]).catch(
      () => undefined,
    );
  }
  writing = false;
}

export async function recall<V extends View>(person: string, of: string): Promise<V | undefined> {
  const db = await opened();
  const row = await db?.get('views', [person, of]).catch(() => undefined);
  // What is kept under an item's id is an item's view, and under a job's a job's.
  return row?.app === version() ? (row.view as V) : undefined;
}

export async function forgetSeen(person: string): Promise<void> {
  for (const [key, row] of waiting) if (row.person_id === person) waiting.delete(key);
  const db = await opened();
  await db?.delete('views', IDBKeyRange.bound([person], [person, []])).catch(() => undefined);
}

function version(): string {
  return document.documentElement.dataset['version'] ?? '';
}

/** After the screen as it stands has been drawn. */
export function drawn(): Promise<void> {
  return new Promise((resolve) => {
    // A page in the background draws nothing, and nobody waits for it.
    if (document.visibilityState !== 'visible') resolve();
    else requestAnimationFrame(() => setTimeout(resolve, 0));
  });
}
