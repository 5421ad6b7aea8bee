import type { StockLine } from './stock.ts';

export interface Row {
  readonly length: string;
  readonly price: string;
  readonly limit: string;
}

/** A stock of the yard's list as it is being written. */
export interface Draft {
  readonly line: StockLine;
  readonly flat: boolean;
  readonly rows: readonly Row[];
}

export function draftOf(line: StockLine): Draft {
  return {
    line,
    flat: line.flat,
    rows: line.offers.map(({ text, cents, limit }) => ({
      length: text,
      price: cents < 0 ? '' : (cents / 100).toFixed(2),
      limit: limit < 0 ? '' : String(limit),
    })),
  };
}

/**
 * The list as the service has it now, with what was typed since kept: each stock that is not as it
 * was when it was last shown or saved stays as it is written.
 */
export function merged(
  typed: readonly Draft[],
  known: readonly Draft[],
  list: readonly StockLine[],
): Draft[] {
  const of = (drafts: readonly Draft[], line: StockLine) =>
    drafts.find((draft) => JSON.stringify(draft.line.stock) === JSON.stringify(line.stock));
  return list.map((line) => {
    const [now, before] = [of(typed, line), of(known, line)];
    if (now === undefined || before === undefined || written(now) === written(before))
      return draftOf(line);
    return { ...now, line };
  });
}

function written({ flat, rows }: Draft): string {
  return JSON.stringify([flat, rows]);
}

/** Cents of a price as it is written: 1,250.50, or 12,50 with the decimal comma; null for none. */
export function readPrice(text: string): number | null {
  const bare = text.replace(/[$\s]/g, '');
  const comma = /^(\d{1,3}(?:\.\d{3})+|\d+),(\d{1,2})$/.exec(bare);
  const plain =
    comma !== null
      ? `${comma[1]?.replaceAll('.', '')}.${comma[2]}`
      : /^(\d{1,3}(,\d{3})+|\d*)(\.\d*)?$/.test(bare) && /\d/.test(bare)
        ? bare.replaceAll(',', '')
        : '';
  if (plain === '') return null;
  const cents = Math.round(Number(plain) * 100);
  return Number.isSafeInteger(cents) ? cents : null;
}
