import { Refusal, Unreachable } from '../api/refusal.ts';
import type { KeptPhoto } from './kept.ts';

/*
 * The phone's side of a resumable upload: the core of tus 1.0.0 (tus.io), HEAD and PATCH. The entry
 * in the log has made the upload; there is nothing to create.
 */

export interface Door {
  /** How many bytes are there. Throws a Refusal (404: the log has no such photo yet; 410: refused). */
  offset(photo: KeptPhoto): Promise<number>;
  /** Sends what follows on the first `from` bytes and says how many are there then. */
  send(photo: KeptPhoto, from: number): Promise<number>;
}

// A part that a bad signal carries within the service's patience: 20 kB/s.
const part = 256 * 1024;
const patience = 25_000;
const version = { 'Tus-Resumable': '1.0.0' };

export const door: Door = {
  async offset(photo) {
    const answer = await ask(photo, 'HEAD');
    return offsetOf(answer);
  },
  async send(photo, from) {
    const answer = await ask(photo, 'PATCH', photo.jpeg.slice(from, from + part), {
      'Upload-Offset': String(from),
      'Content-Type': 'application/offset+octet-stream',
    });
    return offsetOf(answer);
  },
};

function offsetOf(answer: Response): number {
  const offset = Number(answer.headers.get('Upload-Offset') ?? Number.NaN);
  // Without the header it was not the service that answered.
  if (!Number.isInteger(offset)) throw new Unreachable('no offset');
  return offset;
}

async function ask(
  photo: KeptPhoto,
  method: 'HEAD' | 'PATCH',
  body?: ArrayBuffer,
  headers: Readonly<Record<string, string>> = {},
): Promise<Response> {
  const late = new AbortController();
  const timer = setTimeout(() => late.abort(), patience);
  let answer: Response;
  try {
    answer = await fetch(`/api/v1/jobs/${photo.job_id}/uploads/${photo.photo_id}`, {
      method,
      credentials: 'same-origin',
      cache: 'no-store',
      signal: late.signal,
      headers: { ...version, ...headers },
      ...(body === undefined ? {} : { body }),
    });
  } catch (cause) {
    throw new Unreachable('no answer', { cause });
  } finally {
    clearTimeout(timer);
  }
  if (answer.ok) return answer;
  throw await refusalOf(answer);
}

async function refusalOf(answer: Response): Promise<Refusal | Unreachable> {
  const ours = (answer.headers.get('Content-Type') ?? '').includes('problem+json');
  // A HEAD brings no body: its problem has a type all the same.
  if (!ours) return new Unreachable(`status ${answer.status} without a sentence`);
  const after = Number(answer.headers.get('Retry-After') ?? Number.NaN);
  const problem = (await answer.json().catch(() => ({}))) as { detail?: string };
  return new Refusal(
    answer.status,
    problem.detail ?? '',
    [],
    Number.isFinite(after) ? after : null,
  );
}
