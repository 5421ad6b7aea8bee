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

/** The door at an address, for who is signed in or for who holds a key. */
export function makeDoor(
  addressOf: (photo: KeptPhoto) => string,
  key: () => string | null = () => null,
): Door {
  const ask = (photo: KeptPhoto, sent: Sent) => request(addressOf(photo), sent, key());
  return {
    async offset(photo) {
      return offsetOf(await ask(photo, { method: 'HEAD' }));
    },
    async send(photo, from) {
      const answer = await ask(photo, {
        method: 'PATCH',
        body: photo.jpeg.slice(from, from + part),
        headers: {
          'Upload-Offset': String(from),
          'Content-Type': 'application/offset+octet-stream',
        },
      });
      return offsetOf(answer);
    },
  };
}

export const door = makeDoor(
  ({ job_id, photo_id }) => `/api/v1/jobs/${job_id}/uploads/${photo_id}`,
);

interface Sent {
  readonly method: 'HEAD' | 'PATCH';
  readonly body?: ArrayBuffer;
  readonly headers?: Readonly<Record<string, string>>;
}

function offsetOf(answer: Response): number {
  const offset = Number(answer.headers.get('Upload-Offset') ?? Number.NaN);
  // Without the header it was not the service that answered.
  if (!Number.isInteger(offset)) throw new Unreachable('no offset');
  return offset;
}

async function request(address: string, sent: Sent, key: string | null): Promise<Response> {
  const late = new AbortController();
  const timer = setTimeout(() => late.abort(), patience);
  let answer: Response;
  try {
    answer = await fetch(address, {
      method: sent.method,
      credentials: 'same-origin',
      cache: 'no-store',
      signal: late.signal,
      headers: {
        ...version,
        ...sent.headers,
        ...(key === null ? {} : { Authorization: `Bearer ${key}` }),
      },
      ...(sent.body === undefined ? {} : { body: sent.body }),
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
