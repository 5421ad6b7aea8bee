import { signal } from '@preact/signals';
import { api } from '../api/client.ts';
import { Refusal } from '../api/refusal.ts';
import type { Me } from '../api/views.ts';
import { chooseLanguage } from '../words/choose.ts';

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
  try {
    enter(await api.me());
  } catch (cause) {
    if (cause instanceof Refusal && cause.status === 401) leave();
    else if (known === null) session.value = { state: 'out' };
  }
}

export async function signIn(name: string, passphrase: string): Promise<Me> {
  const who = await api.signIn(name, passphrase);
  write(nameKey, name);
  enter(who);
  return who;
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
