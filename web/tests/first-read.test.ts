import 'fake-indexeddb/auto';
import { IDBFactory } from 'fake-indexeddb';
import { beforeEach, describe, expect, it, vi } from 'vitest';
import { dbName, dbVersion, openDb, type PersonRow, type ViewRow } from '../src/live/db.ts';

const job = '018f0000-0000-7000-8000-000000000001';
const item = '018f0000-0000-7000-8000-000000000002';

/** The page is opened: the file runs as for the first time. */
async function opened(path: string) {
  vi.resetModules();
  history.replaceState(null, '', path);
  return import('../src/live/first-read.ts');
}

const row = { person_id: 'marco', jobs: [{ id: job }] } as unknown as PersonRow;
const view = (of: string) =>
  ({ person_id: 'marco', of, job_id: job, view: JSON.stringify({ id: of }) }) as ViewRow;

async function used(): Promise<void> {
  const db = await openDb();
  await db?.put('persons', row);
  for (const of of [job, item]) await db?.put('views', view(of));
  db?.close();
}

beforeEach(() => {
  vi.stubGlobal('indexedDB', new IDBFactory());
  localStorage.setItem('longpoint.me', JSON.stringify({ person_id: 'marco' }));
});

describe('what is read before the app runs', () => {
  it('is what the address names, and nothing a second time', async () => {
    await used();
    const { takeRead } = await opened(`/bench/jobs/${job}/items/${item}`);
    const read = await takeRead('marco');
    expect(read?.row).toEqual(row);
    expect(read?.views.map(({ of }) => of)).toEqual([job, item]);
    expect(await takeRead('marco')).toBeNull();
  });

  it("is the person's jobs where the address names nothing", async () => {
    await used();
    const { takeRead } = await opened('/bench');
    expect((await takeRead('marco'))?.views.map(({ of }) => of)).toEqual([job]);
  });

  it('is for nobody else', async () => {
    await used();
    const { takeRead } = await opened('/bench');
    expect(await takeRead('ruth')).toBeNull();
  });

  it('makes no database where there is none, and none is looked at on a visit', async () => {
    const { takeOpened, takeRead } = await opened('/bench');
    expect(await takeRead('marco')).toBeNull();
    expect(await takeOpened()).toBeNull();
    expect(await indexedDB.databases()).toEqual([]);
    await used();
    const visit = await opened('/walk');
    expect(await visit.takeOpened()).toBeNull();
  });

  it('hands its database on, and gives way to a newer app', async () => {
    await used();
    const { takeOpened } = await opened('/bench');
    const db = await takeOpened();
    expect(db?.version).toBe(dbVersion);
    expect(await takeOpened()).toBeNull();
    await new Promise<void>((resolve, reject) => {
      const newer = indexedDB.open(dbName, dbVersion + 1);
      newer.onsuccess = () => resolve(newer.result.close());
      newer.onblocked = () => reject(new Error('blocked'));
    });
    expect(() => db?.transaction('views')).toThrow();
  });

  it('is used by the app itself, as the database that it opens', async () => {
    await used();
    await opened('/bench');
    const { openDb: open } = await import('../src/live/db.ts');
    const asked = vi.spyOn(indexedDB, 'open');
    const db = await open();
    expect(await db?.get('persons', 'marco')).toEqual(row);
    expect(asked).not.toHaveBeenCalled();
  });
});
