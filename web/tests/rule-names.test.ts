import { afterEach, expect, test } from 'vitest';
import { basisOf } from '../src/board/house-rules.ts';
import { chooseLanguage } from '../src/words/choose.ts';
import { choiceName, ruleName } from '../src/words/words.ts';

afterEach(() => chooseLanguage('en'));

test('a rule and a choice newer than the app are named by their own keys', () => {
  expect(ruleName('reveal')).toBe('Casing reveal');
  expect(ruleName('shelf_pin_gap')).toBe('shelf pin gap');
  expect(choiceName('shelf_pin_gap', 'as_drawn')).toBe('as drawn');
});

test('what a rule stands on is said in words, never by a key', async () => {
  const common = { key: 'reveal', basis: 'common practice' };
  expect(basisOf(common)).toBe('common practice');
  expect(basisOf({ key: 'hollow_trim_limit', basis: 'common practice; ask the maker' })).toBe(
    'common practice; ask the maker',
  );
  expect(basisOf({ key: 'shelf_pin_gap', basis: 'the maker’s sheet' })).toBe('the maker’s sheet');
  await chooseLanguage('es');
  expect(basisOf(common)).toBe('práctica común');
});
