import { signal } from '@preact/signals';
import { api, ask } from '../api/client.ts';
import { Refusal } from '../api/refusal.ts';
import type { Me } from '../api/views.ts';
import { isLockedOut, lockOut, signedInAs } from '../lock/pin.ts';
import { chooseLanguage } from '../words/choose.ts';
import { usePasskey } from './passkey.ts';
import { thisDevice } from './this-device.ts';

export type Session =
  | { readonly state: 'asking' }
  | { readonly state: 'out' }
  | { readonly state: 'in'; readonly me: Me };

/** Who is at this device. The last person known here stands until the service says otherwise. */
export const session = signal<Session>({ state: 'asking' });

const key = 'longpoint.me';
const nameKey = 'longpoint.name';

/** The person signed in; only inside screens that are behind the gate. */
export function me(): Me {
  const now = session.value;
  if (now.state !== 'in') throw new Error('nobody is signed in');
  return now.me;
}

export function leads(person: Me): boolean {
  return person.role !== 'installer';
}

/** The person this device last knew is in until the service says otherwise. */
export function findKnown(): Me | null {
  if (isLockedOut()) {
    session.value = { state: 'out' };
    return null;
  }
  const known = read<Me>(key);
  if (known !== null && session.value.state === 'asking') {
    session.value = { state: 'in', me: known };
    void chooseLanguage(known.language);
  }
  return known;
}

/** Asks the service once; without a signal the person this device last knew stays in. */
export async function findSession(): Promise<void> {
  const known = findKnown();
  if (isLockedOut()) return endLockedOut();
  try {
    enter(await api.me());
  } catch (cause) {
    if (cause instanceof Refusal && cause.status === 401) leave();
    else if (known === null) session.value = { state: 'out' };
  }
}

export async function signIn(name: string, passphrase: string): Promise<Me> {
  const who = await api.signIn(name, passphrase, thisDevice());
  write(nameKey, name);
  arrive(who);
  return who;
}

/** By whatever passkey this device has for this place: no name is asked for. */
export async function signInByPasskey(): Promise<void> {
  const body = { ...(await usePasskey()), device: thisDevice() };
  const who = await ask<Me>('/session/passkey', { method: 'POST', body });
  write(nameKey, who.sign_in);
  arrive(who);
}

/** Somebody has just proved who they are, here. */
export function arrive(who: Me): void {
  signedInAs(who.person_id);
  enter(who);
}

/** The PIN is not known: the whole sign-in is asked for, and what is not sent stays. */
export async function leaveLocked(): Promise<void> {
  lockOut();
  leave();
  await endLockedOut();
}

/** The page cannot take the cookie away; the service can, as soon as it is heard. */
async function endLockedOut(): Promise<void> {
  await api.signOut().catch(() => undefined);
}

export async function signOut(): Promise<void> {
  await api.signOut();
  leave();
}

/** The service no longer knows this device. */
export function leave(): void {
  forget(key);
  session.value = { state: 'out' };
}

/** The name that was last signed in with here. */
export function lastName(): string {
  return read<string>(nameKey) ?? '';
}

export function enter(who: Me): void {
  write(key, who);
  void chooseLanguage(who.language);
  session.value = { state: 'in', me: who };
}

function read<T>(from: string): T | null {
  try {
    return JSON.parse(localStorage.getItem(from) ?? 'null') as T | null;
  } catch {
    return null;
  }
}

function write(to: string, value: unknown): void {
  try {
    localStorage.setItem(to, JSON.stringify(value));
  } catch {
    // Storage is off: known as long as the page.
  }
}

function forget(what: string): void {
  try {
    localStorage.removeItem(what);
  } catch {
    // Storage is off: there was nothing.
  }
}
