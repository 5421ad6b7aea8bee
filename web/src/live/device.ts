import { type ReadonlySignal, signal } from '@preact/signals';
import { openDb } from './db.ts';
import { dbKeep, type Keep, memoryKeep } from './keep.ts';
import { noShelf, openShelf, type Shelf } from './shelf.ts';

export interface Device {
  readonly shelf: Shelf;
  readonly keep: Keep;
}

/** Where what is entered here lies. Anything but the disk is said to the person. */
export type KeptOn = 'disk' | 'storage' | 'page';

const kept = signal<KeptOn>('disk');
export const keptOn: ReadonlySignal<KeptOn> = kept;

let opening: Promise<Device> | undefined;

/** The device's own store, opened once; as good as this browser lets it be. */
export function device(): Promise<Device> {
  opening ??= open();
  return opening;
}

async function open(): Promise<Device> {
  const storage = storageOrNone();
  const db = await openDb();
  if (db === null) kept.value = storage === null ? 'page' : 'storage';
  return {
    shelf: await openShelf(db, storage).catch(noShelf),
    keep: db === null ? memoryKeep() : dbKeep(db),
  };
}

function storageOrNone(): Storage | null {
  try {
    // A private window may have one that takes nothing.
    localStorage.setItem('longpoint.try', '1');
    localStorage.removeItem('longpoint.try');
    return localStorage;
  } catch {
    return null;
  }
}

/** How near the device's room for this app is to its end. */
export interface Room {
  readonly used: number;
  readonly left: number;
}

const room = signal<Room | null>(null);

/** Set when little room is left, while there still is enough for what was entered. */
export const roomShort: ReadonlySignal<Room | null> = room;

// Photos are the large things: below this, a day's work may no longer fit. The browser's figure
// is an estimate, and a browser may give an app more as it goes.
const leastLeft = 60 * 1024 * 1024;
const mostUsed = 0.9;

const unknown = signal(false);

/** True in a browser that does not say how much room there is: it cannot be warned of in time. */
export const roomUnknown: ReadonlySignal<boolean> = unknown;

export async function lookForRoom(): Promise<void> {
  try {
    const { usage, quota } = await navigator.storage.estimate();
    unknown.value = usage === undefined || quota === undefined;
    if (usage === undefined || quota === undefined) return;
    const left = quota - usage;
    room.value = left < leastLeft || usage > quota * mostUsed ? { used: usage, left } : null;
  } catch {
    unknown.value = true;
  }
}

let asked = false;

/**
 * Asks the browser not to clear what lies here when it runs short of room. Asked when the first
 * work is kept: then there is something to lose, and a browser that asks the person has a reason.
 */
export function askToStay(): void {
  if (asked) return;
  asked = true;
  void (async () => {
    try {
      if (!(await navigator.storage.persisted())) await navigator.storage.persist();
    } catch {
      // An older browser: it keeps what it keeps.
    }
  })();
}
