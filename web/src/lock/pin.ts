import { signal } from '@preact/signals';

/*
 * The PIN locks the screen of a phone that remembers its person. It works without a signal, so what
 * checks it lies on the phone: a slow hash, which keeps out whoever picks the phone up and not
 * whoever can read its storage. It encrypts nothing and is never sent anywhere.
 */

export const pinDigits = 4;

/** OWASP's figure for PBKDF2 with SHA-256 (Password Storage Cheat Sheet): half a second on a slow phone. */
const rounds = 600_000;

/** After so many wrong in a row each further one waits; after so many the phone asks for the whole sign-in. */
const freeTries = 3;
export const mostTries = 8;

/** A phone laid down on the sawhorse for a moment stays open. */
const pocketed = 5 * 60_000;

const key = 'longpoint.pin';
const outKey = 'longpoint.locked-out';

interface Kept {
  readonly person: string;
  readonly salt: string;
  readonly hash: string;
  readonly rounds: number;
  readonly wrong: number;
  /** Device time before which no other try is taken. */
  readonly until: number;
}

/** What wrong tries cost: a wait that doubles, in milliseconds; null when there are no more. */
export function waitAfter(wrong: number): number | null {
  if (wrong >= mostTries) return null;
  return wrong < freeTries ? 0 : 15_000 * 2 ** (wrong - freeTries);
}

const opened = signal(false);
const change = signal(0);

/** True while the screen asks this person for their PIN. */
export function isLocked(person: string): boolean {
  void change.value;
  return !opened.value && read()?.person === person;
}

export function hasPin(person: string): boolean {
  void change.value;
  return read()?.person === person;
}

export async function setPin(person: string, pin: string): Promise<void> {
  const salt = crypto.getRandomValues(new Uint8Array(16));
  const made = { person, salt: text(salt), rounds, wrong: 0, until: 0 };
  write({ ...made, hash: await hashOf(pin, salt, rounds) });
  opened.value = true;
}

export function dropPin(): void {
  write(null);
}

export type Tried = 'open' | 'wrong' | 'wait' | 'out';

/** One try. It is counted on the disk before it is checked: a page closed in between gains nothing. */
export async function tryPin(pin: string, now = Date.now()): Promise<Tried> {
  const kept = read();
  if (kept === null) return 'open';
  if (now < kept.until) return 'wait';
  const wrong = kept.wrong + 1;
  const wait = waitAfter(wrong);
  write({ ...kept, wrong, until: now + (wait ?? 0) });
  if ((await hashOf(pin, bytes(kept.salt), kept.rounds)) === kept.hash) {
    write({ ...kept, wrong: 0, until: 0 });
    opened.value = true;
    return 'open';
  }
  if (wait !== null) return 'wrong';
  lockOut();
  return 'out';
}

/** How long until another try is taken, in milliseconds. */
export function pinWait(now = Date.now()): number {
  void change.value;
  return Math.max(0, (read()?.until ?? 0) - now);
}

/** Asks for the PIN again from now on. */
export function lock(): void {
  opened.value = false;
}

/** Too many tries, or the PIN is forgotten: the phone no longer knows its person until they sign in. */
export function lockOut(): void {
  write(null);
  try {
    localStorage.setItem(outKey, '1');
  } catch {
    // Storage is off: there was no PIN either.
  }
}

/** Until the next sign-in the session this phone still has is not used, only ended. */
export function isLockedOut(): boolean {
  try {
    return localStorage.getItem(outKey) !== null;
  } catch {
    return false;
  }
}

/** Somebody has just proved who they are. Another person's PIN is none of theirs. */
export function signedInAs(person: string): void {
  try {
    localStorage.removeItem(outKey);
  } catch {
    // Storage is off.
  }
  const kept = read();
  if (kept !== null && kept.person !== person) write(null);
  else if (kept !== null) write({ ...kept, wrong: 0, until: 0 });
  opened.value = true;
}

let left = 0;

/** Locks a phone that was put away, when it is picked up again. */
export function watchPocket(): void {
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'hidden') left = Date.now();
    else if (left !== 0 && Date.now() - left > pocketed) lock();
  });
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

function read(): Kept | null {
  try {
    return JSON.parse(localStorage.getItem(key) ?? 'null') as Kept | null;
  } catch {
    return null;
  }
}

function write(kept: Kept | null): void {
  try {
    if (kept === null) localStorage.removeItem(key);
    else localStorage.setItem(key, JSON.stringify(kept));
  } catch {
    // Storage is off: a phone that remembers nobody needs no lock.
  }
  change.value += 1;
}
