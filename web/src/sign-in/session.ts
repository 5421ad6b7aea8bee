import { signal } from '@preact/signals';
import { api } from '../api/client.ts';
import { Refusal } from '../api/refusal.ts';
import type { Me } from '../api/views.ts';
import { tellTabs } from '../live/tabs.ts';
import { isLockedOut, lockOut } from '../lock/pin.ts';
import { remember, remembered } from '../remembered.ts';
import { chooseLanguage } from '../words/choose.ts';

export type Session =
  | { readonly state: 'asking' }
  | { readonly state: 'out' }
  | { readonly state: 'in'; readonly me: Me };

/** Who is at this device. The last person known here stands until the service says otherwise. */
export const session = signal<Session>({ state: 'asking' });

const key = 'longpoint.me';

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
  const known = keptPerson();
  if (known !== null && session.value.state === 'asking') {
    session.value = { state: 'in', me: known };
    void chooseLanguage(known.language);
  }
  return known;
}

/** Asks the service once; without a signal the person this device last knew stays in. */
export async function findSession(): Promise<void> {
  const known = findKnown();
  if (isLockedOut()) return endSession();
  try {
    enter(await api.me());
  } catch (cause) {
    if (cause instanceof Refusal && cause.status === 401) leave();
    else if (known === null) session.value = { state: 'out' };
  }
}

/** The PIN is not known: the whole sign-in is asked for, and what is not sent stays. */
export async function leaveLocked(): Promise<void> {
  lockOut();
  leave();
  await endSession();
}

/** The page cannot take the cookie away; the service can, as soon as it is heard. */
async function endSession(): Promise<void> {
  await api.signOut().catch(() => undefined);
}

export async function signOut(): Promise<void> {
  await api.signOut();
  leave();
}

/** The service no longer knows this device, or knows somebody else there. */
export function leave(): void {
  const now = session.peek();
  const kept = keptPerson();
  if (now.state === 'in' && kept !== null && kept.person_id !== now.me.person_id) {
    makeWay();
    return;
  }
  remember(key, null);
  if (now.state === 'in') tellTabs('session');
  session.value = { state: 'out' };
}

/**
 * All pages of a browser have one cookie: where another page signed this one's person out, or
 * somebody else in, this one follows. What its person has not sent stays on the device, and theirs.
 */
export function makeWay(): void {
  const now = session.peek();
  const kept = keptPerson();
  const here = now.state === 'in' ? now.me.person_id : undefined;
  if (now.state === 'asking' || kept?.person_id === here) return;
  session.value = { state: 'out' };
  session.value = { state: 'asking' };
  void findSession();
}

export function enter(who: Me): void {
  const said = JSON.stringify(who);
  const now = session.peek();
  // Who is in already, and as ever, is not drawn anew.
  if (now.state === 'in' && JSON.stringify(now.me) === said) return;
  // Nothing of somebody else's is left on the screen.
  if (now.state === 'in' && now.me.person_id !== who.person_id) session.value = { state: 'out' };
  remember(key, said);
  tellTabs('session');
  void chooseLanguage(who.language);
  session.value = { state: 'in', me: who };
}

function keptPerson(): Me | null {
  try {
    return JSON.parse(remembered(key) ?? 'null') as Me | null;
  } catch {
    return null;
  }
}
