import en from './en.json';
import { type Catalog, type LanguageCode, language, speak } from './words.ts';

const key = 'longpoint.language';

/** English is in the first file; any other language is a file of its own. */
const catalogs: Readonly<Record<LanguageCode, () => Promise<Catalog>>> = {
  en: () => Promise.resolve(en),
  es: () => import('./es.json').then((file) => file.default as unknown as Catalog),
};

export function isLanguage(code: unknown): code is LanguageCode {
  return code === 'en' || code === 'es';
}

/** The languages by their own names: who cannot read the screen still finds theirs. */
export const ownNames: Readonly<Record<LanguageCode, string>> = { en: 'English', es: 'Español' };

/** What this device last spoke, else the first language of the browser's that there is. */
export function deviceLanguage(): LanguageCode {
  try {
    const kept = localStorage.getItem(key);
    if (isLanguage(kept)) return kept;
  } catch {
    // Storage is off: the browser's own language.
  }
  for (const tag of navigator.languages ?? []) {
    const code = tag.slice(0, 2).toLowerCase();
    if (isLanguage(code)) return code;
  }
  return 'en';
}

/** Speaks a language from now on, and at the next opening. Without its file the screen stays as it is. */
export async function chooseLanguage(code: LanguageCode): Promise<void> {
  try {
    localStorage.setItem(key, code);
  } catch {
    // Storage is off: the choice lasts as long as the page.
  }
  if (code !== language.peek().code) await load(code);
}

/** Before the first screen. */
export async function showLanguage(): Promise<void> {
  const code = deviceLanguage();
  if (code === language.peek().code) speak(code, en);
  else await load(code);
}

async function load(code: LanguageCode): Promise<void> {
  try {
    speak(code, await catalogs[code]());
  } catch {
    // No signal, and not on the device yet.
  }
}
