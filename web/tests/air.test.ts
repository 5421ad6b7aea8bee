import { describe, expect, it } from 'vitest';
import { degreesText, readDegrees, readNumber, readPercent } from '../src/parts/air.ts';

describe('air as a crew reads it', () => {
  // Freezing and boiling water, the point where both scales agree, and the temperatures the Wood
  // Handbook's table 4-2 is printed for, beside its Celsius labels.
  it.each([
    ['32', 0],
    ['212', 1000],
    ['-40', -400],
    ['30', -11],
    ['50', 100],
    ['70', 211],
    ['90', 322],
    ['140', 600],
    ['68.5', 203],
    ['68,5', 203],
  ])('keeps %s °F as %i tenths of a degree Celsius', (text, tenths) => {
    expect(readDegrees(text, 'in')).toBe(tenths);
  });

  it('keeps Celsius as it was typed', () => {
    expect(readDegrees('21.1', 'mm')).toBe(211);
    expect(readDegrees('21,1', 'mm')).toBe(211);
    expect(readDegrees('-5', 'mm')).toBe(-50);
    expect(degreesText(211, 'mm')).toBe('21.1');
  });

  it('shows every whole degree Fahrenheit again as it was typed, so that keeping a sheet changes nothing', () => {
    for (let f = -40; f <= 140; f++) {
      const tenths = readDegrees(String(f), 'in');
      expect(tenths).not.toBeNull();
      expect(degreesText(tenths ?? Number.NaN, 'in')).toBe(String(f));
    }
  });

  it('shows what was entered in Celsius again in Celsius', () => {
    for (let tenths = -400; tenths <= 600; tenths++) {
      expect(readDegrees(degreesText(tenths, 'mm'), 'mm')).toBe(tenths);
    }
  });

  it('takes no word, no sign alone and no second point for a number', () => {
    for (const text of ['', 'warm', '-', '7 0', '70°', '1.2.3', '1e3', '0x10', '.5']) {
      expect(readDegrees(text, 'in')).toBeNull();
      expect(readPercent(text)).toBeNull();
    }
    expect(readPercent(' 45,5 ')).toBe(455);
    expect(readNumber('-0.5')).toBe(-0.5);
  });
});
