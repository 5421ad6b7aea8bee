import { makeDoor } from '../photos/door.ts';
import { draftOf } from '../photos/draft.ts';
import { type KeptPhoto, openKept } from '../photos/kept.ts';
import { makeQueue } from '../photos/queue.ts';
import { keyOf } from './visit.ts';

/* The homeowner's photos between their camera and the crew. Loaded after the page is there. */

export const walkPhotos = makeQueue({
  kept: openKept('longpoint-walk-photos'),
  door: makeDoor(({ photo_id }) => `/api/v1/walk/uploads/${photo_id}`, keyOf),
  alone: (work) => {
    const locks: LockManager | null | undefined = navigator.locks;
    return locks == null ? work() : locks.request('longpoint.walk.photos', work);
  },
});

/** Keeps a photo on the device as a draft. Throws where the browser cannot open the file. */
export async function take(
  file: Blob,
  of: { readonly person: string; readonly job: string; readonly item: string },
): Promise<KeptPhoto> {
  const photo = await draftOf(file, of);
  await walkPhotos.put(photo);
  return photo;
}
