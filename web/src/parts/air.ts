import { language } from '../words/words.ts';

/** What a crew reads off a thermometer: degrees Fahrenheit where lengths are in inches. */
export type Scale = 'in' | 'mm';

/**
 * Tenths of a degree Celsius, as the log keeps them, from what was typed; null when it is no number.
 * Here and not in the rule book because it is how one person's thermometer is read: no rule hangs on
 * the scale, and what the rules say of a temperature they print themselves (internal/finding).
 */
export function readDegrees(text: string, scale: Scale): number | null {
  const value = readNumber(text);
  if (value === null) return null;
  return Math.round(scale === 'in' ? ((value - 32) * 50) / 9 : value * 10);
}

/** The same back, in whole degrees Fahrenheit or Celsius and its tenths. */
export function degreesText(tenths: number, scale: Scale): string {
  const value = scale === 'in' ? Math.round((tenths * 9) / 50 + 32) + 0 : tenths / 10; // + 0: no minus before a zero
  return value.toLocaleString(language.value.tag, { maximumFractionDigits: 1 });
}

export function scaleName(scale: Scale): string {
  return scale === 'in' ? '°F' : '°C';
}

/** Tenths of a percent. */
export function readPercent(text: string): number | null {
  const value = readNumber(text);
  return value === null ? null : Math.round(value * 10);
}

export function readNumber(text: string): number | null {
  const plain = text.trim().replace(',', '.');
  return /^-?\d+(\.\d+)?$/.test(plain) ? Number(plain) : null;
}
