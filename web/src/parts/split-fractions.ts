export interface FractionText {
  /** The whole number right before it, as in 79 5/8; '' where there is none. */
  readonly whole: string;
  readonly numerator: string;
  readonly denominator: string;
}

export type Part = string | FractionText;

// Powers of two only: "2/3 of the rooms" and a date such as 11/25/2026 stay as they are written.
// What stands before is matched and not looked behind at: Safari before 16.4 has no lookbehind and
// would not read the whole file.
const inchFraction = /(^|[^\d/.])(\d{1,2})\/(2|4|8|16|32|64)(?!\d|\/|\.\d)/g;

/**
 * Cuts a sentence at its inch fractions. This only sets type, it reads no lengths. A fraction takes
 * the whole number before it along, so that the two are never parted by the end of a line.
 */
export function splitFractions(sentence: string): Part[] {
  const parts: Part[] = [];
  let from = 0;
  for (const match of sentence.matchAll(inchFraction)) {
    const [found, lead = '', numerator = '', denominator = ''] = match;
    if (Number(numerator) >= Number(denominator) || Number(numerator) === 0) continue;
    const before = sentence.slice(from, match.index + lead.length);
    const whole = /(?:^|[^\d/.])(\d+)[ \u00a0-]$/.exec(before)?.[1] ?? '';
    const rest = whole === '' ? before : before.slice(0, -whole.length - 1);
    if (rest !== '') parts.push(rest);
    parts.push({ whole, numerator, denominator });
    from = match.index + found.length;
  }
  if (from < sentence.length) parts.push(sentence.slice(from));
  return parts;
}
