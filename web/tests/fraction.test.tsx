import { render } from 'preact';
import { describe, expect, it } from 'vitest';
import { Words } from '../src/parts/fraction.tsx';
import { splitFractions } from '../src/parts/split-fractions.ts';

const over = (text: string) =>
  splitFractions(text)
    .filter((part) => typeof part !== 'string')
    .map((part) => `${part.whole} ${part.numerator}/${part.denominator}`.trim());

const sources = import.meta.glob('../src/**/*.{ts,tsx}', {
  query: '?raw',
  import: 'default',
  eager: true,
});

describe('fractions in a sentence', () => {
  it('finds inch fractions, alone and after a whole number', () => {
    expect(over('Cut 79 5/8, gap 1/8.')).toEqual(['79 5/8', '1/8']);
    expect(over('6\'-7 5/8" and 36-11/16')).toEqual(['7 5/8', '36 11/16']);
    expect(over('−1/16')).toEqual(['1/16']);
    expect(over('3/32 1/64 1/2 3/4')).toEqual(['3/32', '1/64', '1/2', '3/4']);
  });

  it('leaves alone what is not an inch fraction', () => {
    for (const text of [
      '2/3 of the rooms',
      '11/25/2026',
      '8/8',
      '9/8',
      '1/24',
      '0/8',
      '5/80',
      '1/2/3',
      '1/2.5',
    ]) {
      expect(over(text), text).toEqual([]);
    }
  });

  it('finds what stands right before and right after another', () => {
    expect(over('1/8-1/4;9/8 5/8')).toEqual(['1/8', '1/4', '5/8']);
    expect(over('8/8 1/2,1/4')).toEqual(['1/2', '1/4']);
    expect(over('a1/2 .1/2 /1/4 12/16 112/16')).toEqual(['1/2', '12/16']);
  });

  it('is in no file with a lookbehind, which Safari before 16.4 cannot read', () => {
    expect(Object.keys(sources).length).toBeGreaterThan(100);
    for (const [file, text] of Object.entries(sources)) {
      expect(String(text).includes('(?<!') || String(text).includes('(?<='), file).toBe(false);
    }
  });

  it('never loses or joins a character: the spoken and copied text is the sentence', () => {
    for (const text of [
      'Cut 79 5/8, gap 1/8.',
      '5/8',
      'no fraction',
      '',
      '30 1/16 by 80 3/8',
      '8/8 1/2,1/4(3/8)',
    ]) {
      const box = document.createElement('p');
      render(<Words>{text}</Words>, box);
      for (const stack of box.querySelectorAll('[aria-hidden]')) stack.remove();
      expect(box.textContent?.replace(/\u00a0/g, ' ')).toBe(text);
    }
  });

  it('keeps a whole number and its fraction on one line', () => {
    for (const text of ['79 5/8', '79-5/8', '79\u00a05/8']) {
      expect(splitFractions(text)).toEqual([{ whole: '79', numerator: '5', denominator: '8' }]);
    }
  });
});
