import { effect, signal } from '@preact/signals';
import { ask } from '../api/client.ts';
import type { PhotoLine } from '../api/views.ts';
import { askToStay, lookForRoom } from '../live/device.ts';
import { holdWhile } from '../shell/quiet.ts';
import { leave, session } from '../sign-in/session.ts';
import { door } from './door.ts';
import { draftOf } from './draft.ts';
import { type KeptPhoto, openKept } from './kept.ts';
import { makeQueue } from './queue.ts';

/* The one queue of photos, and what the service says became of those it knows of. */

export const queue = makeQueue({
  kept: openKept(),
  door,
  alone: (work) => {
    const locks: LockManager | null | undefined = navigator.locks;
    return locks == null ? work() : locks.request('longpoint.photos', work);
  },
  onSent: ({ job_id }) => void askStates(job_id),
  onSignedOut: leave,
});

let started = false;

/** Begins to send; called once somebody is signed in, on whatever screen. */
export function startPhotos(): void {
  if (started) return;
  started = true;
  effect(() => {
    const now = session.value;
    queue.belongsTo(now.state === 'in' ? now.me.person_id : null);
  });
  addEventListener('online', () => void queue.push());
  addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') void queue.push();
  });
  holdWhile(() => queue.onlyHere.value.size > 0);
}

/** Makes a photo of a file and keeps it as a draft. Throws where the browser cannot open it. */
export async function takePhoto(job: string, item: string, file: Blob): Promise<KeptPhoto> {
  const now = session.peek();
  if (now.state !== 'in') throw new Error('nobody is signed in');
  const photo = await draftOf(file, { person: now.me.person_id, job, item });
  await queue.put(photo);
  askToStay();
  void lookForRoom();
  return photo;
}

const states = signal<ReadonlyMap<string, PhotoLine>>(new Map());
const answered = signal<ReadonlySet<string>>(new Set());
const soon = 2_000;

/** What the service says of a photo's bytes, when it was last asked. */
export function stateOf(id: string): PhotoLine | undefined {
  return states.value.get(id);
}

/** Whether the service said what it has of a job's photos, or was not heard soon enough to wait for. */
export function statesAnswered(job: string): boolean {
  return answered.value.has(job);
}

function goOn(job: string): void {
  if (!answered.value.has(job)) answered.value = new Set([...answered.value, job]);
}

export async function askStates(job: string): Promise<void> {
  // Pictures that this device was given before need no signal.
  const late = setTimeout(() => goOn(job), soon);
  try {
    const { photos } = await ask<{ photos: PhotoLine[] }>(`/jobs/${job}/photos`);
    const next = new Map(states.value);
    for (const line of photos) next.set(line.photo_id, line);
    states.value = next;
  } catch {
    // What was known stands; the pictures say themselves whether they are there.
  }
  clearTimeout(late);
  goOn(job);
}

export function pictureOf(job: string, id: string, size: 'full' | 'thumb'): string {
  return `/api/v1/jobs/${job}/photos/${id}/${size}.jpg`;
}
