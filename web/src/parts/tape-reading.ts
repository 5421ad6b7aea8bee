import type { Unit } from '../rulebook/rulebook.ts';

/*
 * What the pad and the strip build, in whole nanometers. Every constant is exact (1 in = 25.4 mm),
 * so nothing here rounds except the one function that says so.
 */
export const INCH = 25_400_000;
export const SIXTY_FOURTH = 396_875;
export const MILLIMETER = 1_000_000;
export const HALF_MILLIMETER = 500_000;

/** The rule book takes no length over 100 ft. */
export const LONGEST = 1200 * INCH;

/** Heavy and light are a thirty-second either side of the tick that was read. */
export const SHADE = 2 * SIXTY_FOURTH;

export type Shade = -1 | 0 | 1;

export interface Scale {
  /** What the pad counts: inches or millimeters. */
  readonly whole: number;
  /** The smallest part the strip can mark. */
  readonly part: number;
  /** What the strip shows enlarged: one inch, or one centimeter. */
  readonly span: number;
  /** Strip step and fine strip step, in nanometers. */
  readonly step: number;
  readonly fineStep: number;
  readonly mostDigits: number;
}

export const scales: Readonly<Record<Unit, Scale>> = {
  in: {
    whole: INCH,
    part: SIXTY_FOURTH,
    span: INCH,
    step: 4 * SIXTY_FOURTH,
    fineStep: 2 * SIXTY_FOURTH,
    mostDigits: 4,
  },
  mm: {
    whole: MILLIMETER,
    part: HALF_MILLIMETER,
    span: 10 * MILLIMETER,
    step: MILLIMETER,
    fineStep: HALF_MILLIMETER,
    mostDigits: 5,
  },
};

/** A reading being built. All lengths are magnitudes; a lean's direction is kept apart. */
export interface Reading {
  /** Whole units as typed; '' is nothing yet, '0' is a zero that was meant. */
  readonly digits: string;
  /** Nanometers past the whole unit, a multiple of the scale's part. */
  readonly past: number;
  readonly shade: Shade;
  /** A length that came from the rule book or the log and may lie between two marks. */
  readonly exact: { readonly nm: number; readonly text: string } | null;
  /** Nothing touched yet: the first digit starts over instead of adding to what was there. */
  readonly untouched: boolean;
}

export const blank: Reading = { digits: '', past: 0, shade: 0, exact: null, untouched: true };

/** A reading that starts from a known length; `text` is how the rule book prints it. */
export function readingOf(nm: number, unit: Unit, text?: string): Reading {
  const magnitude = Math.abs(nm);
  const { part } = scales[unit];
  if (magnitude % part !== 0) {
    return { ...blank, exact: { nm: magnitude, text: text ?? '' } };
  }
  return { ...split(magnitude, unit), untouched: true };
}

/** The length in nanometers, or null while nothing has been taken. */
export function lengthOf(reading: Reading, unit: Unit): number | null {
  if (reading.exact !== null) return reading.exact.nm;
  const base = baseOf(reading, unit);
  return base === null ? null : base + reading.shade * SHADE;
}

function baseOf(reading: Reading, unit: Unit): number | null {
  if (reading.digits === '' && reading.past === 0) return null;
  return Number(reading.digits) * scales[unit].whole + reading.past;
}

function split(nm: number, unit: Unit): Reading {
  const { whole } = scales[unit];
  return {
    ...blank,
    digits: String(Math.floor(nm / whole)),
    past: nm % whole,
    untouched: false,
  };
}

/** The nearest mark of the given step; half way goes up. The only rounding in this file. */
export function nearestMark(nm: number, step: number): number {
  return Math.round(nm / step) * step;
}

export function pressDigit(reading: Reading, digit: string, unit: Unit): Reading {
  const from = reading.untouched || reading.exact !== null ? { ...blank } : reading;
  const digits = from.digits === '0' ? digit : from.digits + digit;
  const next = { ...from, digits, untouched: false };
  const length = lengthOf(next, unit) ?? 0;
  return digits.length > scales[unit].mostDigits || length > LONGEST ? reading : next;
}

/** Takes back what was added last in reading order: shade, then the fraction, then a digit. */
export function takeBack(reading: Reading): Reading {
  if (reading.exact !== null) return { ...blank, untouched: false };
  if (reading.shade !== 0) return { ...reading, shade: 0, untouched: false };
  if (reading.past !== 0) return { ...reading, past: 0, untouched: false };
  return { ...reading, digits: reading.digits.slice(0, -1), untouched: false };
}

/** Where the enlarged inch (or centimeter) on the strip begins. */
export function spanStart(reading: Reading, unit: Unit): number {
  const nm = lengthOf({ ...reading, shade: 0 }, unit) ?? 0;
  const { span } = scales[unit];
  return Math.floor(nm / span) * span;
}

/** Sets the mark touched on the strip: an absolute length on the given step. */
export function touchMark(nm: number, unit: Unit): Reading {
  return split(Math.min(Math.max(nm, 0), LONGEST), unit);
}

/** One mark up or down, carrying into the whole inches. From between two marks: to the next one. */
export function nudge(reading: Reading, by: 1 | -1, step: number, unit: Unit): Reading {
  const nm = lengthOf(reading.exact === null ? { ...reading, shade: 0 } : reading, unit) ?? 0;
  const onMark = nm % step === 0;
  const marks = by > 0 ? Math.floor(nm / step) + 1 : Math.ceil(nm / step) - 1;
  return touchMark(onMark ? nm + by * step : marks * step, unit);
}

/** Heavy or light of the mark that was read; the same tap again takes it off. */
export function shadeTo(reading: Reading, shade: 1 | -1, unit: Unit): Reading {
  if (unit !== 'in' || reading.exact !== null) return reading;
  const base = baseOf(reading, unit);
  const wanted: Shade = reading.shade === shade ? 0 : shade;
  if (base === null || base + wanted * SHADE < 0 || base + wanted * SHADE > LONGEST) return reading;
  return { ...reading, shade: wanted, untouched: false };
}

export interface FractionFigures {
  readonly numerator: number;
  readonly denominator: number;
}

/** Sixty-fourths in lowest terms: 40 → 5/8. Null for a whole number. */
export function lowestTerms(sixtyFourths: number): FractionFigures | null {
  if (sixtyFourths === 0) return null;
  let numerator = sixtyFourths;
  let denominator = 64;
  while (numerator % 2 === 0) {
    numerator /= 2;
    denominator /= 2;
  }
  return { numerator, denominator };
}

/** "79 5/8", "5/8", "0", "2018.5": the mark as plain text, without heavy or light. */
export function markText(reading: Reading, unit: Unit): string {
  if (reading.exact !== null) return reading.exact.text;
  const { digits, past } = reading;
  if (unit === 'mm') return `${digits === '' ? '0' : digits}${past === 0 ? '' : '.5'}`;
  return mixed(digits, past);
}

function mixed(whole: string, past: number): string {
  const fraction = lowestTerms(past / SIXTY_FOURTH);
  if (fraction === null) return whole;
  const text = `${fraction.numerator}/${fraction.denominator}`;
  return whole === '' || whole === '0' ? text : `${whole} ${text}`;
}

/** 79 5/8 is also 6' 7 5/8". Null under a foot, in millimeters, and between two marks. */
export function feetText(reading: Reading, unit: Unit): string | null {
  const inches = Number(reading.digits);
  if (unit !== 'in' || reading.exact !== null || inches < 12) return null;
  const rest = mixed(String(inches % 12), reading.past);
  return `${Math.floor(inches / 12)}' ${rest}"`;
}
