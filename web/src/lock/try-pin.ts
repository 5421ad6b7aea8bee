import { keepPin, keptPin, lockOut, setOpen } from './pin.ts';

export const pinDigits = 4;

/** OWASP's figure for PBKDF2 with SHA-256 (Password Storage Cheat Sheet): half a second on a slow phone. */
const rounds = 600_000;

/** After so many wrong in a row each further one waits; after so many the phone asks for the whole sign-in. */
const freeTries = 3;
export const mostTries = 8;

/** What wrong tries cost: a wait that doubles, in milliseconds; null when there are no more. */
export function waitAfter(wrong: number): number | null {
  if (wrong >= mostTries) return null;
  return wrong < freeTries ? 0 : 15_000 * 2 ** (wrong - freeTries);
}

export async function setPin(person: string, pin: string): Promise<void> {
  const salt = crypto.getRandomValues(new Uint8Array(16));
  const hash = await hashOf(pin, salt, rounds);
  keepPin({ person, salt: text(salt), hash, rounds, wrong: 0, until: 0 });
  setOpen(true);
}

export function dropPin(): void {
  keepPin(null);
}

export type Tried = 'open' | 'wrong' | 'wait' | 'out';

/** One try. It is counted on the disk before it is checked: a page closed in between gains nothing. */
export async function tryPin(pin: string, now = Date.now()): Promise<Tried> {
  const kept = keptPin();
  if (kept === null) return 'open';
  if (now < kept.until) return 'wait';
  const wrong = kept.wrong + 1;
  const wait = waitAfter(wrong);
  keepPin({ ...kept, wrong, until: now + (wait ?? 0) });
  if ((await hashOf(pin, bytes(kept.salt), kept.rounds)) === kept.hash) {
    keepPin({ ...kept, wrong: 0, until: 0 });
    setOpen(true);
    return 'open';
  }
  if (wait !== null) return 'wrong';
  lockOut();
  return 'out';
}

/** How long until another try is taken, in milliseconds. */
export function pinWait(now = Date.now()): number {
  return Math.max(0, (keptPin()?.until ?? 0) - now);
}

async function hashOf(pin: string, salt: Uint8Array<ArrayBuffer>, iterations: number) {
  const secret = new TextEncoder().encode(pin);
  const material = await crypto.subtle.importKey('raw', secret, 'PBKDF2', false, ['deriveBits']);
  const bits = await crypto.subtle.deriveBits(
    { name: 'PBKDF2', hash: 'SHA-256', salt, iterations },
    material,
    256,
  );
  return text(new Uint8Array(bits));
}

function text(raw: Uint8Array): string {
  return btoa(String.fromCharCode(...raw));
}

function bytes(from: string): Uint8Array<ArrayBuffer> {
  return Uint8Array.from(atob(from), (letter) => letter.charCodeAt(0));
}
