import { signal } from '@preact/signals';
import { remember, remembered } from '../remembered.ts';

/*
 * The PIN locks the screen of a phone that remembers its person. It works without a signal, so what
 * checks it lies on the phone: it keeps out whoever picks the phone up, and not whoever can read its
 * storage. It encrypts nothing and is never sent anywhere. What every start needs is here; trying
 * and setting one is in `try-pin.ts`.
 */

/** A phone laid down on the sawhorse for a moment stays open. */
const pocketed = 5 * 60_000;

const key = 'longpoint.pin';
const outKey = 'longpoint.locked-out';

export interface KeptPin {
  readonly person: string;
  readonly salt: string;
  readonly hash: string;
  readonly rounds: number;
  readonly wrong: number;
  /** Device time before which no other try is taken. */
  readonly until: number;
}

const opened = signal(false);
const change = signal(0);

/** True while the screen asks this person for their PIN. */
export function isLocked(person: string): boolean {
  return hasPin(person) && !opened.value;
}

export function hasPin(person: string): boolean {
  return keptPin()?.person === person;
}

/** Shows the screen, or asks for the PIN again from now on. */
export function setOpen(open: boolean): void {
  opened.value = open;
}

/** Too many tries, or the PIN is forgotten: the phone no longer knows its person until they sign in. */
export function lockOut(): void {
  keepPin(null);
  remember(outKey, '1');
}

/** Until the next sign-in the session this phone still has is not used, only ended. */
export function isLockedOut(): boolean {
  return remembered(outKey) !== null;
}

/** Somebody has just proved who they are. Another person's PIN is none of theirs. */
export function signedInAs(person: string): void {
  remember(outKey, null);
  const pin = keptPin();
  if (pin !== null) keepPin(pin.person === person ? { ...pin, wrong: 0, until: 0 } : null);
  setOpen(true);
}

let left = 0;

/** Locks a phone that was put away, when it is picked up again. */
export function watchPocket(): void {
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'hidden') left = Date.now();
    else if (left !== 0 && Date.now() - left > pocketed) setOpen(false);
  });
}

export function keptPin(): KeptPin | null {
  void change.value;
  try {
    return JSON.parse(remembered(key) ?? 'null') as KeptPin | null;
  } catch {
    return null;
  }
}

export function keepPin(pin: KeptPin | null): void {
  remember(key, pin === null ? null : JSON.stringify(pin));
  change.value += 1;
}
