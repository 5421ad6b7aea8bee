import { type DBSchema, type IDBPDatabase, openDB } from 'idb';

/*
 * Photos on the device, in a store of their own: they are the large things, and whatever becomes of
 * them, nothing that was entered may be held up by them.
 */

/** A photo as this device has it. */
export interface KeptPhoto {
  readonly photo_id: string;
  /** Whose it is: nobody's photos go out under another's name. */
  readonly person_id: string;
  readonly job_id: string;
  readonly item_id: string;
  readonly jpeg: ArrayBuffer;
  readonly sha256: string;
  readonly width: number;
  readonly height: number;
  readonly taken_at: string;
  /**
   * draft: not put into the log yet. waiting: to be sent. sent: the service has it. refused: the
   * service would not take it.
   */
  readonly state: 'draft' | 'waiting' | 'sent' | 'refused';
  readonly caption?: string;
  /** Why it was refused, in words. */
  readonly sentence?: string;
}

interface Tables extends DBSchema {
  photos: { key: string; value: KeptPhoto };
}

/** Where photos lie. Writes are on the disk when their promise is kept. */
export interface Kept {
  all(): Promise<KeptPhoto[]>;
  put(photo: KeptPhoto): Promise<void>;
  remove(ids: readonly string[]): Promise<void>;
}

const onDisk = { durability: 'strict' } as const;

export async function openKept(name = 'longpoint-photos'): Promise<Kept> {
  const db: IDBPDatabase<Tables> = await openDB<Tables>(name, 1, {
    upgrade(fresh) {
      fresh.createObjectStore('photos', { keyPath: 'photo_id' });
    },
    blocking(_from, _to, event) {
      (event.target as IDBDatabase).close();
    },
  });
  return {
    all: () => db.getAll('photos'),
    async put(photo) {
      const change = db.transaction('photos', 'readwrite', onDisk);
      await Promise.all([change.store.put(photo), change.done]);
    },
    async remove(ids) {
      const change = db.transaction('photos', 'readwrite', onDisk);
      await Promise.all([...ids.map((id) => change.store.delete(id)), change.done]);
    },
  };
}
