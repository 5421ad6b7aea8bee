import shared from 'virtual:words/shared';
import { signal } from '@preact/signals';
import type en from './en.json';

/** Every sentence a person can see has a key in en.json; other languages carry the same keys. */
export type WordKey = keyof typeof en;
type Entry = string | Readonly<Record<string, string>>;
export type Catalog = Readonly<Partial<Record<WordKey, Entry>>>;
/** A surface's part of the catalogs. English comes with the surface, the others when they are spoken. */
export interface Words {
  readonly en: Catalog;
  readonly es: () => Promise<Catalog>;
}
export type WordParams = Readonly<Record<string, string | number>>;

/** The languages there are catalogs of, as people's settings name them. */
export type LanguageCode = 'en' | 'es';

interface Language {
  readonly code: LanguageCode;
  /** For dates, numbers and plural forms. */
  readonly tag: string;
  readonly catalog: Catalog;
}

const tags: Readonly<Record<LanguageCode, string>> = { en: 'en-US', es: 'es-US' };

/** What is spoken where a language's own words have not come. */
let english: Catalog = shared.en;
export const language = signal<Language>({ code: 'en', tag: tags.en, catalog: english });

/** English of a surface, from its first screen on. */
export function learn(words: Catalog): void {
  english = { ...english, ...words };
}

/** Whether there is a sentence for a key that is made from a name of the service's. */
export function isWord(key: string): key is WordKey {
  return key in english;
}

/** A house rule's name. One newer than this app reads by its own. */
export function ruleName(key: string): string {
  const word = `rule.${key}`;
  return isWord(word) ? t(word) : key.replaceAll('_', ' ');
}

/** What a house rule may be set to, by name. */
export function choiceName(key: string, choice: string): string {
  const word = `rule.${key}.${choice}`;
  return isWord(word) ? t(word) : choice.replaceAll('_', ' ');
}

/** Switches every sentence on the screen; the page's lang attribute follows. */
export function speak(code: LanguageCode, catalog: Catalog): void {
  language.value = { code, tag: tags[code], catalog };
  document.documentElement.lang = tags[code];
}

/**
 * The sentence for a key, with {names} replaced. An entry with plural forms needs a `count`
 * parameter; the form is chosen by the language's own plural rules.
 */
export function t(key: WordKey, params: WordParams = {}): string {
  const { tag, catalog } = language.value;
  // What a translation lacks is a failing test, and so is a key of another surface; a phone goes on.
  const entry = catalog[key] ?? english[key] ?? key;
  const sentence = typeof entry === 'string' ? entry : plural(entry, tag, params['count']);
  return sentence.replace(/\{(\w+)\}/g, (whole, name: string) => {
    const value = params[name];
    return value === undefined ? whole : apart(String(value));
  });
}

/** Letters written from right to left, a name's say, would turn the sentence around them: isolated (UAX #9, 2.4.2). */
function apart(value: string): string {
  return /[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufeff]/.test(value) ? `\u2068${value}\u2069` : value;
}

const counting = new Map<string, Intl.PluralRules>();

function plural(
  forms: Readonly<Record<string, string>>,
  tag: string,
  count: string | number | undefined,
): string {
  const rules = counting.get(tag) ?? new Intl.PluralRules(tag);
  counting.set(tag, rules);
  const form = rules.select(Number(count ?? 0));
  return forms[form] ?? forms['other'] ?? '';
}
