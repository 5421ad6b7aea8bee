import { signal } from '@preact/signals';
import en from './en.json';

/** Every sentence a person can see has a key in en.json; other languages carry the same keys. */
export type WordKey = keyof typeof en;
type Entry = string | Readonly<Record<string, string>>;
export type Catalog = Readonly<Record<WordKey, Entry>>;
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

export const language = signal<Language>({ code: 'en', tag: tags.en, catalog: en });

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
  // A key that a translation lacks is a failing test; on a phone it still reads.
  const entry = catalog[key] ?? en[key];
  const sentence = typeof entry === 'string' ? entry : plural(entry, tag, params['count']);
  return sentence.replace(/\{(\w+)\}/g, (whole, name: string) => {
    const value = params[name];
    return value === undefined ? whole : String(value);
  });
}

function plural(
  forms: Readonly<Record<string, string>>,
  tag: string,
  count: string | number | undefined,
): string {
  const form = new Intl.PluralRules(tag).select(Number(count ?? 0));
  return forms[form] ?? forms['other'] ?? '';
}
