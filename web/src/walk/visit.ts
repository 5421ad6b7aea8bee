import { batch, signal } from '@preact/signals';
import { Refusal } from '../api/refusal.ts';
import type { Command } from '../api/views.ts';
import { remember, remembered } from '../remembered.ts';
import { deviceLanguage } from '../words/choose.ts';
import { enter, page, say, type WalkItem, type WalkPage } from './door.ts';

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
  refused: 'longpoint.walk.refused',
  aside: 'longpoint.walk.aside',
  language: 'longpoint.walk.language',
  saying: 'longpoint.walk.saying',
} as const;

export const doing = signal<Doing>({ state: 'opening' });
export const unsent = signal<readonly Command[]>([]);
export const cutOff = signal(false);
/** What the service would not take, of whatever walk, in its own words, until the person has read it. */
export const turnedBack = signal<readonly Answer[]>([]);
/** Called when the service was reached and everything said has got there. */
export const afterLook = new Set<() => void>();
export const language = signal<'en' | 'es'>(deviceLanguage());

function readJSON<T>(name: string): T | null {
  const text = remembered(name);
  if (text === null) return null;
  try {
    return JSON.parse(text) as T;
  } catch {
    return null;
  }
}

/** The key, where there is one. */
export function keyOf(): string | null {
  return remembered(stored.key);
}

/**
 * What is being said and not yet told: a phone that takes a photo may throw the page away
 * meanwhile, and it is gone on with where it was.
 */
export interface Saying {
  readonly walk: string;
  readonly room: string;
  readonly item: string | null;
  readonly step: 'where' | 'what' | 'words';
  readonly at: { readonly x: number; readonly y: number } | null;
  readonly about: WalkItem['suggestions'][number]['about'] | null;
  readonly text: string;
  readonly photos: readonly string[];
  readonly marks: readonly { readonly on: string; readonly x: number; readonly y: number }[];
}

export function sayingOf(): Saying | null {
  return readJSON<Saying>(stored.saying);
}

export function keepSaying(saying: Saying | null): void {
  remember(stored.saying, saying === null ? null : JSON.stringify(saying));
}

/** Opens the walk that the address or the device holds. */
export async function open(secret: string): Promise<void> {
  const other = secret !== '' && secret !== remembered(stored.token);
  if (other) {
    // Another link on the same device: the last one's visit is not this one's. What it had not sent
    // is laid aside, and goes if this is a new link to the same walk.
    const left = readJSON<Command[]>(stored.unsent) ?? [];
    const aside = readJSON<Command[]>(stored.aside) ?? [];
    if (left.length > 0) remember(stored.aside, JSON.stringify([...aside, ...left]));
    for (const name of [stored.key, stored.page, stored.unsent]) remember(name, null);
    remember(stored.token, secret);
  }
  const kept = readJSON<WalkPage>(stored.page);
  unsent.value = readJSON<Command[]>(stored.unsent) ?? [];
  turnedBack.value = readJSON<Answer[]>(stored.refused) ?? [];
  if (kept !== null) {
    language.value = (remembered(stored.language) ?? kept.language) === 'es' ? 'es' : 'en';
    doing.value = { state: 'in', page: kept };
  }
  if (keyOf() === null) await knock('');
  else await look();
}

/** Tries the link, with a passphrase where it wants one. */
export async function knock(passphrase: string): Promise<void> {
  if (await letIn(passphrase)) await look();
}

/** Exchanges the link for a key; whether there is one now. */
async function letIn(passphrase: string): Promise<boolean> {
  const token = remembered(stored.token);
  if (token === null) {
    doing.value = { state: 'closed', why: '' };
    return false;
  }
  try {
    const entered = await enter(token, passphrase);
    if (entered.key !== undefined) {
      remember(stored.key, entered.key);
      return true;
    }
    doing.value = { state: 'passphrase' };
  } catch (cause) {
    if (cause instanceof Refusal && cause.status === 404) {
      doing.value = { state: 'closed', why: cause.sentence };
    } else if (cause instanceof Refusal && (!cause.passing || passphrase !== '')) {
      // Too many tries too: said where the passphrase is written.
      doing.value = { state: 'passphrase', refused: cause.sentence };
    } else {
      // No service, or a busy one, says nothing of the link: it is tried again with the next look.
      cutOff.value = true;
      if (doing.value.state !== 'in') doing.value = { state: 'no signal' };
    }
  }
  return false;
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
  // A link that could not be tried is tried again; where a passphrase is asked for, that is its person's.
  const { state } = doing.value;
  if (keyOf() === null && (state === 'passphrase' || state === 'closed' || !(await letIn(''))))
    return;
  const key = keyOf();
  if (key === null) return;
  try {
    const done = await push(key);
    const now = await page(key, language.value);
    if (remembered(stored.language) === null) language.value = now.language === 'es' ? 'es' : 'en';
    remember(stored.page, JSON.stringify(now));
    batch(() => {
      doing.value = { state: 'in', page: now };
      setUnsent(unsent.value.filter(({ id }) => !done.has(id)));
      cutOff.value = false;
    });
    takeUp(now.view.id);
    for (const then of afterLook) then();
    // Something was done while this was under way.
    if (unsent.value.length > 0) setTimeout(() => void look(), 0);
  } catch (cause) {
    if (cause instanceof Refusal && cause.status === 401) {
      remember(stored.key, null);
      doing.value = { state: 'closed', why: cause.sentence };
    } else if (cause instanceof Refusal && cause.status === 404) {
      doing.value = { state: 'closed', why: cause.sentence };
    } else {
      cutOff.value = true;
      if (doing.value.state !== 'in') doing.value = { state: 'no signal' };
    }
  }
}

/**
 * Sends what waits; answers the ids of what was taken or turned back. They stay on the device until
 * the page that has them is here: nothing said vanishes in between, and sending twice does nothing.
 */
async function push(key: string): Promise<ReadonlySet<string>> {
  const done = new Set<string>();
  const left = () => unsent.value.filter(({ id }) => !done.has(id));
  while (left().length > 0) {
    const part = left().slice(0, 50);
    const { outcomes } = await say(key, language.value, part);
    if (outcomes.length === 0) break;
    for (const outcome of outcomes) {
      done.add(outcome.command_id);
      const command = part.find(({ id }) => id === outcome.command_id);
      const known = turnedBack.value.some(({ command: { id } }) => id === outcome.command_id);
      if (outcome.applied || command === undefined || known) continue;
      const why = outcome.findings?.[0];
      // On the device before it leaves what waits there.
      setTurnedBack([
        ...turnedBack.value,
        { command, why: [why?.sentence, why?.remedy].filter(Boolean).join(' ') },
      ]);
    }
  }
  return done;
}

/** What was laid aside from an ended link to this same walk waits to be sent again. */
function takeUp(walk: string): void {
  const aside = readJSON<Command[]>(stored.aside) ?? [];
  const ours = aside.filter(({ walk_id }) => walk_id === walk);
  if (ours.length === 0) return;
  setUnsent([...ours, ...unsent.value]);
  remember(stored.aside, JSON.stringify(aside.filter(({ walk_id }) => walk_id !== walk)));
}

function setTurnedBack(answers: readonly Answer[]): void {
  turnedBack.value = answers;
  remember(stored.refused, answers.length === 0 ? null : JSON.stringify(answers));
}

/** The person has read why it was not taken. */
export function wasRead({ id }: Command): void {
  setTurnedBack(turnedBack.value.filter(({ command }) => command.id !== id));
}

function setUnsent(commands: readonly Command[]): void {
  unsent.value = commands;
  remember(stored.unsent, JSON.stringify(commands));
}

/** Does it, in this order. It is on the device before this returns. */
export function act(...commands: readonly Command[]): void {
  setUnsent([...unsent.value, ...commands]);
  void look();
}

export function speakIn(tag: 'en' | 'es'): void {
  language.value = tag;
  remember(stored.language, tag);
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
