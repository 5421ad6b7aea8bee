import { expect, it } from 'vitest';
import { today } from '../src/bench/when.ts';
import { chooseLanguage } from '../src/words/choose.ts';

// The catalog's days and months are those of the Unicode locale data, which the browser has.
it('names every day of two years as the browser itself does', async () => {
  for (const [language, tag] of [
    ['en', 'en-US'],
    ['es', 'es-US'],
  ] as const) {
    await chooseLanguage(language);
    const format = new Intl.DateTimeFormat(tag, { weekday: 'long', month: 'long', day: 'numeric' });
    for (let day = 1; day <= 731; day += 1) {
      const date = new Date(2027, 0, day, 12);
      expect(today(date)).toBe(format.format(date));
    }
  }
  await chooseLanguage('en');
});
