import shared from 'virtual:words/shared';
import { type LanguageCode, language, learn, speak, type Words } from './words.ts';

const key = 'longpoint.language';

/** Of the surfaces opened so far. */
const parts: Words[] = [shared];
/** How many of them are in what is spoken, and the language that was asked for last. */
let spoken = 1;
let wanted: LanguageCode = language.peek().code;

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

/** A surface's words, handed over by its own file as that is loaded. */
export function addWords(words: Words): void {
  if (parts.includes(words)) return;
  parts.push(words);
  learn(words.en);
}

/** Before the first screen of a surface: its words in the language that is spoken. */
export async function wordsReady(): Promise<void> {
  if (spoken < parts.length) await load(wanted);
}

/** Speaks a language from now on, and at the next opening. Without its file the screen stays as it is. */
export async function chooseLanguage(code: LanguageCode): Promise<void> {
  try {
    localStorage.setItem(key, code);
  } catch {
    // Storage is off: the choice lasts as long as the page.
  }
  if (code !== wanted) await load(code);
}

/** Before the first screen. */
export async function showLanguage(): Promise<void> {
  await load(deviceLanguage());
}

async function load(code: LanguageCode): Promise<void> {
  wanted = code;
  const now = [...parts];
  try {
    const catalogs = await Promise.all(now.map((part) => (code === 'en' ? part.en : part[code]())));
    if (wanted !== code) return;
    speak(code, Object.assign({}, ...catalogs));
    spoken = now.length;
  } catch {
    // No signal, and not on the device yet: what was spoken goes on.
    if (wanted === code) wanted = language.peek().code;
  }
}
