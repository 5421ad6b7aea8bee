import { expect, test } from 'vitest';
import { hours } from '../src/board/forecast.ts';
import { ticks } from '../src/board/forecast-spread.tsx';

const day = 86_400_000;
const noon = new Date(2026, 2, 2, 12).getTime();

test('dates stand at midnights, a few at a time', () => {
  const near = ticks(noon, noon + 3 * day);
  expect(near.map((at) => new Date(at).getDate())).toEqual([3, 4, 5]);
  for (const at of near) expect(new Date(at).getHours()).toBe(0);
  for (const days of [1, 9, 40, 200, 2000]) {
    const some = ticks(noon, noon + days * day);
    expect(some.length).toBeGreaterThan(0);
    expect(some.length).toBeLessThanOrEqual(9);
  }
});

test('a date is a midnight on either side of a change of the clock', () => {
  const before = new Date(2026, 2, 6, 12).getTime();
  for (const at of ticks(before, before + 6 * day)) expect(new Date(at).getHours()).toBe(0);
});

test('many hours are whole, few are quarters', () => {
  expect(hours(46 * 60 + 20)).toBe(46);
  expect(hours(100)).toBe(1.75);
  expect(hours(3)).toBe(0);
});
