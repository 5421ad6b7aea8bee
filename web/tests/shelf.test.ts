import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { nailKinds, nailPlaces, shelfLengths } from '../src/bench/shelf.ts';

// Vitest runs in web/.
const source = readFileSync('../internal/finish/fastener.go', 'utf8');

/** The lengths that finish.StockLengths lists for a Go name, in nanometers. */
function inTheRuleBook(name: string): number[] {
  const list = new RegExp(
    `case ${name}:[^\\n]*\\n\\s*return \\[\\]length\\.Length\\{([^}]*)\\}`,
  ).exec(source);
  const units: Readonly<Record<string, number>> = {
    q: 6_350_000,
    'length.Eighth': 3_175_000,
    'length.Sixteenth': 1_587_500,
  };
  return (list?.[1] ?? '').split(',').map((part) => {
    const [count = '', unit = ''] = part.trim().split(' * ');
    return Number(count) * (units[unit] ?? Number.NaN);
  });
}

describe('the shelf of nails', () => {
  it.each([
    ['pin23', 'Pin23'],
    ['brad18', 'Brad18'],
    ['finish16', 'Finish16'],
    ['finish15', 'Finish15'],
    ['hand_finish', 'HandFinish'],
    ['trim_screw', 'TrimScrew'],
  ] as const)('offers %s in the lengths the rule book knows', (kind, name) => {
    expect(shelfLengths(kind)).toEqual(inTheRuleBook(name));
  });

  it('offers every kind and every place of the rule book', () => {
    const quoted = (type: string) =>
      [...source.matchAll(new RegExp(`\\w+ +${type} = "([a-z0-9_]+)"`, 'g'))].map(
        ([, name]) => name,
      );
    expect([...nailKinds].sort()).toEqual(quoted('Kind').sort());
    expect([...nailPlaces].sort()).toEqual(quoted('Where').sort());
  });
});
