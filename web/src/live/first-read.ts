import type { PersonRow, ViewRow } from './db.ts';

/*
 * What the first screen is drawn from, read while the app's own files are still taken in: the page
 * runs this one by itself (scripts/pages.ts), so it is small and imports nothing. It opens what is
 * there and makes nothing: how the device's store is laid out is db.ts' business.
 */

/** What the device has of the person it last knew, as the page was opened. */
export interface FirstRead {
  readonly person: string;
  readonly row: PersonRow | undefined;
  /** Of what the address names, else of the person's jobs. */
  readonly views: ViewRow[];
}

export const idsIn = (path: string): string[] | null =>
  path.match(/[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}/g);

const person = knownPerson();
let opened = person === null ? null : open('longpoint').catch(() => null);
let read = opened?.then((db) => db && readFirst(db)).catch(() => null) ?? null;

/** The device's store as it was opened here, for whoever asks first. */
export async function takeOpened(): Promise<IDBDatabase | null> {
  const taken = opened;
  opened = null;
  return taken;
}

/** What was read, once: later it would be of a moment that is past. */
export async function takeRead(of: string): Promise<FirstRead | null> {
  const taken = read;
  read = null;
  const found = await taken;
  return found?.person === of ? found : null;
}

function knownPerson(): string | null {
  try {
    // A homeowner's visit looks at nothing here.
    if (location.pathname.startsWith('/walk')) return null;
    return JSON.parse(localStorage.getItem('longpoint.me') ?? 'null')?.person_id ?? null;
  } catch {
    return null;
  }
}

async function open(name: string): Promise<IDBDatabase> {
  const asked = indexedDB.open(name);
  // Asked for without a version it is made empty where there is none: that is left undone.
  asked.onupgradeneeded = () => asked.transaction?.abort();
  const db = await answered(asked);
  // As db.ts does: a newer app in another tab does not wait for this one.
  db.onversionchange = () => db.close();
  return db;
}

async function readFirst(db: IDBDatabase): Promise<FirstRead> {
  const look = db.transaction(['persons', 'views']);
  const get = <T>(store: string, key: IDBValidKey) =>
    answered<T | undefined>(look.objectStore(store).get(key));
  const id = person ?? '';
  const asked = get<PersonRow>('persons', id);
  const named = idsIn(location.pathname) ?? (await asked)?.jobs.map((job) => job.id) ?? [];
  const views = await Promise.all(named.map((of) => get<ViewRow>('views', [id, of])));
  return { person: id, row: await asked, views: views.flatMap((view) => view ?? []) };
}

function answered<T>(asked: IDBRequest<T>): Promise<T> {
  return new Promise((resolve, reject) => {
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
}
