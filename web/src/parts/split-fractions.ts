export interface FractionText {
  readonly numerator: string;
  readonly denominator: string;
}

export type Part = string | FractionText;

// Powers of two only: "2/3 of the rooms" and a date such as 11/25/2026 stay as they are written.
const inchFraction = /(?<![\d/.])(\d{1,2})\/(2|4|8|16|32|64)(?!\d|\/|\.\d)/g;

/**
 * Cuts a sentence at its inch fractions. This only sets type, it reads no lengths. A whole number
 * and its fraction are joined by a no-break space, so "79 5/8" neither breaks over two lines nor
 * copies as "795/8".
 */
export function splitFractions(sentence: string): Part[] {
  const parts: Part[] = [];
  let from = 0;
  for (const match of sentence.matchAll(inchFraction)) {
    const [whole, numerator = '', denominator = ''] = match;
    if (Number(numerator) >= Number(denominator) || Number(numerator) === 0) continue;
    const before = sentence.slice(from, match.index).replace(/(\d)[ -]$/, '$1\u00a0');
    if (before !== '') parts.push(before);
    parts.push({ numerator, denominator });
    from = match.index + whole.length;
  }
  if (from < sentence.length) parts.push(sentence.slice(from));
  return parts;
}
