import { newId } from '../api/command.ts';
import type { KeptPhoto } from './kept.ts';
import { type Shrunk, shrink } from './shrink.ts';

/** Makes a photo of a file, small enough to be sent. Throws where the browser cannot open it. */
export async function draftOf(
  file: Blob,
  of: { readonly person: string; readonly job: string; readonly item: string },
): Promise<KeptPhoto> {
  const { jpeg, width, height } = await small(file);
  return {
    photo_id: newId(),
    person_id: of.person,
    job_id: of.job,
    item_id: of.item,
    jpeg,
    sha256: await sha256(jpeg),
    width,
    height,
    taken_at: new Date().toISOString(),
    state: 'draft',
  };
}

/** What the log's entry says of a photo. */
export function entryOf({ photo_id, sha256: hash, jpeg, width, height }: KeptPhoto) {
  return { photo_id, sha256: hash, bytes: jpeg.byteLength, width, height };
}

async function small(file: Blob): Promise<Shrunk> {
  if (typeof Worker !== 'undefined' && typeof OffscreenCanvas !== 'undefined') {
    const made = await inWorker(file).catch(() => null);
    if (made !== null) return made;
  }
  return shrink(file);
}

function inWorker(file: Blob): Promise<Shrunk | null> {
  const worker = new Worker(new URL('./shrink-worker.ts', import.meta.url), { type: 'module' });
  return new Promise<Shrunk | null>((made, failed) => {
    worker.onmessage = ({ data }: MessageEvent<Shrunk | null>) => made(data);
    worker.onerror = () => failed(new Error('the worker did not run'));
    worker.postMessage(file);
  }).finally(() => worker.terminate());
}

async function sha256(bytes: ArrayBuffer): Promise<string> {
  const sum = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return Array.from(sum, (byte) => byte.toString(16).padStart(2, '0')).join('');
}
