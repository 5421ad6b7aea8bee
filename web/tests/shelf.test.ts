import { describe, expect, it } from 'vitest';
import { nailKinds, nailPlaces, shelfLengths } from '../src/bench/shelf.ts';
import { nails } from '../src/rulebook/nails.ts';

const inch = 25_400_000;

// That nails.json is the rule book's own is held by a Go test in tests/.
describe('the shelf of nails', () => {
  it('offers every kind and every place of the rule book', () => {
    expect([...nailKinds].sort()).toEqual(Object.keys(nails.nail_lengths).sort());
    expect(nailPlaces(true)).toEqual(nails.nail_places);
    expect(new Set(nailPlaces(true)).size).toBe(8);
  });

  it('offers the base to shoe alone', () => {
    expect(nailPlaces(false)).toEqual(nails.nail_places.filter((place) => place !== 'base'));
    expect(nailPlaces(false)).toHaveLength(7);
  });

  it.each(nailKinds)('offers %s shortest first', (kind) => {
    const lengths = shelfLengths(kind);
    expect(lengths.length).toBeGreaterThan(4);
    expect([...lengths].sort((a, b) => a - b)).toEqual(lengths);
  });

  // Common practice: 18-gauge brads are sold in 1 1/4, 16-gauge nails in 2 1/2.
  it('has the lengths a door is nailed with', () => {
    expect(shelfLengths('brad18')).toContain(1.25 * inch);
    expect(shelfLengths('finish16')).toContain(2.5 * inch);
  });
});
