import { describe, expect, it } from 'vitest';
import {
  blank,
  feetText,
  INCH,
  LONGEST,
  lengthOf,
  lowestTerms,
  MILLIMETER,
  markText,
  nearestMark,
  nudge,
  pressDigit,
  type Reading,
  readingOf,
  SIXTY_FOURTH,
  scales,
  shadeTo,
  spanStart,
  takeBack,
  touchMark,
} from '../src/parts/tape-reading.ts';

const typed = (digits: string, unit: 'in' | 'mm' = 'in'): Reading =>
  [...digits].reduce((reading, digit) => pressDigit(reading, digit, unit), blank);

const { step, fineStep } = scales.in;

// 1 in = 25.4 mm exactly: International yard and pound agreement, 1959; NIST SP 811, appendix B.
describe('a reading in inches is exact to the nanometer', () => {
  it('has exact constants', () => {
    expect(INCH).toBe(25_400_000);
    expect(SIXTY_FOURTH * 64).toBe(INCH);
    expect(step).toBe(1_587_500);
    expect(fineStep).toBe(793_750);
  });

  it('builds 79 5/8 from the pad and ten nudges', () => {
    let reading = typed('79');
    for (let times = 0; times < 10; times += 1) reading = nudge(reading, 1, step, 'in');
    expect(lengthOf(reading, 'in')).toBe(2_022_475_000);
    expect(markText(reading, 'in')).toBe('79 5/8');
    expect(feetText(reading, 'in')).toBe('6\' 7 5/8"');
  });

  it('gives every sixty-fourth of an inch its own exact length and text', () => {
    for (let sixtyFourths = 0; sixtyFourths < 64; sixtyFourths += 1) {
      const nm = 79 * INCH + sixtyFourths * SIXTY_FOURTH;
      const reading = readingOf(nm, 'in');
      expect(lengthOf(reading, 'in')).toBe(nm);
      const fraction = lowestTerms(sixtyFourths);
      const value = fraction === null ? 0 : (fraction.numerator * 64) / fraction.denominator;
      expect(value).toBe(sixtyFourths);
    }
  });

  it('keeps a fraction set before the whole inches', () => {
    const fraction = touchMark(5 * 8 * SIXTY_FOURTH, 'in');
    expect(lengthOf(fraction, 'in')).toBe(15_875_000);
    const whole = pressDigit(pressDigit(fraction, '7', 'in'), '9', 'in');
    expect(lengthOf(whole, 'in')).toBe(79 * INCH + 15_875_000);
  });

  it('adds or takes a thirty-second for heavy and light, and the same tap takes it off', () => {
    const mark = { ...readingOf(2_022_475_000, 'in'), untouched: false };
    const heavy = shadeTo(mark, 1, 'in');
    expect(lengthOf(heavy, 'in')).toBe(2_022_475_000 + 793_750);
    expect(lengthOf(shadeTo(heavy, -1, 'in'), 'in')).toBe(2_022_475_000 - 793_750);
    expect(lengthOf(shadeTo(heavy, 1, 'in'), 'in')).toBe(2_022_475_000);
  });

  it('refuses light of nothing: no length is under zero', () => {
    expect(lengthOf(shadeTo(typed('0'), -1, 'in'), 'in')).toBe(0);
    expect(shadeTo(blank, 1, 'in')).toBe(blank);
    expect(lengthOf(nudge(typed('0'), -1, step, 'in'), 'in')).toBe(0);
  });

  it('carries over the inch both ways', () => {
    const up = nudge(touchMark(79 * INCH + 15 * step, 'in'), 1, step, 'in');
    expect(markText(up, 'in')).toBe('80');
    const down = nudge(typed('80'), -1, fineStep, 'in');
    expect(markText(down, 'in')).toBe('79 31/32');
  });

  it('nudges from between two marks to the nearest mark in that direction', () => {
    const laser = readingOf(2_018_000_000, 'in', '79 7/16 heavy');
    expect(lengthOf(laser, 'in')).toBe(2_018_000_000);
    expect(markText(laser, 'in')).toBe('79 7/16 heavy');
    expect(lengthOf(nudge(laser, 1, step, 'in'), 'in')).toBe(2_019_300_000); // 79 1/2
    expect(lengthOf(nudge(laser, -1, step, 'in'), 'in')).toBe(2_017_712_500); // 79 7/16
  });

  it('never takes more than 100 feet, nor more digits than that needs', () => {
    expect(lengthOf(typed('1200'), 'in')).toBe(LONGEST);
    expect(lengthOf(typed('1201'), 'in')).toBe(120 * INCH);
    expect(lengthOf(nudge(typed('1200'), 1, step, 'in'), 'in')).toBe(LONGEST);
    expect(lengthOf(shadeTo(typed('1200'), 1, 'in'), 'in')).toBe(LONGEST);
  });

  it('starts over on the first digit after a known length, and adds after that', () => {
    const known = readingOf(2_022_475_000, 'in');
    expect(lengthOf(typedOn(known, '80'), 'in')).toBe(80 * INCH);
  });

  it('does not put zeros in front', () => {
    expect(markText(typed('079'), 'in')).toBe('79');
    expect(lengthOf(typed('0'), 'in')).toBe(0);
    expect(lengthOf(blank, 'in')).toBeNull();
  });

  it('takes back the shade, then the fraction, then digits', () => {
    let reading = shadeTo(touchMark(79 * INCH + 5 * 8 * SIXTY_FOURTH, 'in'), 1, 'in');
    reading = takeBack(reading);
    expect(lengthOf(reading, 'in')).toBe(2_022_475_000);
    reading = takeBack(reading);
    expect(lengthOf(reading, 'in')).toBe(79 * INCH);
    reading = takeBack(reading);
    expect(lengthOf(reading, 'in')).toBe(7 * INCH);
    expect(lengthOf(takeBack(reading), 'in')).toBeNull();
  });

  it('keeps the strip on the inch that was read, whatever the shade', () => {
    expect(spanStart(shadeTo(typed('80'), -1, 'in'), 'in')).toBe(80 * INCH);
    expect(spanStart(readingOf(2_022_475_000, 'in'), 'in')).toBe(79 * INCH);
    expect(nearestMark(0.626 * INCH, step)).toBe(15_875_000);
  });
});

describe('a reading in millimeters is exact to the nanometer', () => {
  it('builds 2018 and a half', () => {
    const whole = typed('2018', 'mm');
    expect(lengthOf(whole, 'mm')).toBe(2_018_000_000);
    const half = nudge(whole, 1, scales.mm.fineStep, 'mm');
    expect(lengthOf(half, 'mm')).toBe(2_018_500_000);
    expect(markText(half, 'mm')).toBe('2018.5');
    expect(spanStart(half, 'mm')).toBe(2_010 * MILLIMETER);
  });

  it('has no heavy or light, no feet, and the same longest length', () => {
    const reading = typed('30480', 'mm');
    expect(lengthOf(reading, 'mm')).toBe(LONGEST);
    expect(shadeTo(reading, 1, 'mm')).toBe(reading);
    expect(feetText(reading, 'mm')).toBeNull();
    expect(lengthOf(typed('30481', 'mm'), 'mm')).toBe(3_048 * MILLIMETER);
  });

  it('keeps an inch reading that lies between two half millimeters as it is', () => {
    const reading = readingOf(2_022_475_000, 'mm', '2022.5 light');
    expect(lengthOf(reading, 'mm')).toBe(2_022_475_000);
  });
});

function typedOn(reading: Reading, digits: string): Reading {
  return [...digits].reduce((before, digit) => pressDigit(before, digit, 'in'), reading);
}
