import { signal } from '@preact/signals';
import { Refusal } from '../api/refusal.ts';
import type { Command } from '../api/views.ts';
import { enter, page, say, type WalkPage } from './door.ts';

/*
 * One visit of a homeowner: the key, the page as last heard, and what they did that has not been
 * sent. All three lie in the device's storage, so that a signal that drops, or a page that is
 * closed, loses nothing.
 */

export type Doing =
  | { readonly state: 'opening' }
  | { readonly state: 'passphrase'; readonly refused?: string }
  | { readonly state: 'closed'; readonly why: string }
  | { readonly state: 'no signal' }
  | { readonly state: 'in'; readonly page: WalkPage };

export interface Answer {
  readonly command: Command;
  readonly why: string;
}

const stored = {
  key: 'longpoint.walk.key',
  token: 'longpoint.walk.token',
  page: 'longpoint.walk.page',
  unsent: 'longpoint.walk.unsent',
  language: 'longpoint.walk.language',
} as const;

export const doing = signal<Doing>({ state: 'opening' });
export const unsent = signal<readonly Command[]>([]);
export const cutOff = signal(false);
/** What the service would not take, in its own words, until the person has read it. */
export const turnedBack = signal<readonly Answer[]>([]);
export const language = signal<'en' | 'es'>('en');

// A browser that keeps nothing still has the visit, as long as the page is open.
const memory = new Map<string, string>();

function read(name: string): string | null {
  try {
    return localStorage.getItem(name) ?? memory.get(name) ?? null;
  } catch {
    return memory.get(name) ?? null;
  }
}

function write(name: string, value: string | null): void {
  if (value === null) memory.delete(name);
  else memory.set(name, value);
  try {
    if (value === null) localStorage.removeItem(name);
    else localStorage.setItem(name, value);
  } catch {
    // Full or forbidden: memory has it.
  }
}

function readJSON<T>(name: string): T | null {
  const text = read(name);
  if (text === null) return null;
  try {
    return JSON.parse(text) as T;
  } catch {
    return null;
  }
}

/** Opens the walk that the address or the device holds. */
export async function open(secret: string): Promise<void> {
  const other = secret !== '' && secret !== read(stored.token);
  if (other) {
    // Another link on the same device: the last one's visit is not this one's.
    for (const name of [stored.key, stored.page, stored.unsent]) write(name, null);
    write(stored.token, secret);
  }
  const kept = readJSON<WalkPage>(stored.page);
  unsent.value = readJSON<Command[]>(stored.unsent) ?? [];
  if (kept !== null) {
    language.value = (read(stored.language) ?? kept.language) === 'es' ? 'es' : 'en';
    doing.value = { state: 'in', page: kept };
  }
  if (read(stored.key) === null) await knock('');
  else await look();
}

/** Tries the link, with a passphrase where it wants one. */
export async function knock(passphrase: string): Promise<void> {
  const token = read(stored.token);
  if (token === null) {
    doing.value = { state: 'closed', why: '' };
    return;
  }
  try {
    const entered = await enter(token, passphrase);
    if (entered.key === undefined) {
      doing.value = { state: 'passphrase' };
      return;
    }
    write(stored.key, entered.key);
    await look();
  } catch (cause) {
    if (!(cause instanceof Refusal)) {
      if (doing.value.state !== 'in') doing.value = { state: 'no signal' };
    } else if (cause.status === 404) {
      doing.value = { state: 'closed', why: cause.sentence };
    } else {
      doing.value = { state: 'passphrase', refused: cause.sentence };
    }
  }
}

let looking: Promise<void> | null = null;

/** Sends what waits, then asks for the page as it is now. */
export function look(): Promise<void> {
  looking ??= lookNow().finally(() => {
    looking = null;
  });
  return looking;
}

async function lookNow(): Promise<void> {
  const key = read(stored.key);
  if (key === null) return;
  try {
    await push(key);
    const now = await page(key, language.value);
    if (read(stored.language) === null) language.value = now.language === 'es' ? 'es' : 'en';
    write(stored.page, JSON.stringify(now));
    doing.value = { state: 'in', page: now };
    cutOff.value = false;
  } catch (cause) {
    if (cause instanceof Refusal && cause.status === 401) {
      write(stored.key, null);
      doing.value = { state: 'closed', why: cause.sentence };
    } else if (cause instanceof Refusal && cause.status === 404) {
      doing.value = { state: 'closed', why: cause.sentence };
    } else {
      cutOff.value = true;
      if (doing.value.state !== 'in') doing.value = { state: 'no signal' };
    }
  }
}

async function push(key: string): Promise<void> {
  while (unsent.value.length > 0) {
    const part = unsent.value.slice(0, 50);
    const { outcomes } = await say(key, language.value, part);
    if (outcomes.length === 0) return;
    const refused: Answer[] = [];
    for (const outcome of outcomes) {
      const command = part.find(({ id }) => id === outcome.command_id);
      const why = outcome.findings?.[0];
      if (!outcome.applied && command !== undefined) {
        refused.push({ command, why: [why?.sentence, why?.remedy].filter(Boolean).join(' ') });
      }
    }
    turnedBack.value = [...turnedBack.value, ...refused];
    setUnsent(unsent.value.filter(({ id }) => !outcomes.some((done) => done.command_id === id)));
  }
}

function setUnsent(commands: readonly Command[]): void {
  unsent.value = commands;
  write(stored.unsent, JSON.stringify(commands));
}

/** Does one thing. It is on the device before this returns. */
export function act(command: Command): void {
  setUnsent([...unsent.value, command]);
  void look();
}

export function speakIn(tag: 'en' | 'es'): void {
  language.value = tag;
  write(stored.language, tag);
  void look();
}

const every = 20_000;

/** Looks again while the page is in sight, and when the signal comes back. */
export function follow(): () => void {
  const seen = () => {
    if (document.visibilityState === 'visible') void look();
  };
  const timer = setInterval(seen, every);
  addEventListener('online', seen);
  document.addEventListener('visibilitychange', seen);
  return () => {
    clearInterval(timer);
    removeEventListener('online', seen);
    document.removeEventListener('visibilitychange', seen);
  };
}
