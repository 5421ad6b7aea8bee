import { describe, expect, it } from 'vitest';
import type { Command, ReadingView } from '../src/api/views.ts';
import { nextReading, withWaiting } from '../src/bench/walk.ts';

const reading = (name: string, state: ReadingView['state'], required = true): ReadingView => ({
  name,
  label: name,
  state,
  required,
  signed: false,
});

describe('the walk from reading to reading', () => {
  const walk = [
    reading('width_bottom', 'missing'),
    reading('width_middle', 'taken'),
    reading('diagonal', 'missing', false),
    reading('height_hinge', 'missing'),
    reading('floor', 'disagree'),
  ];

  it('goes on to the next that the cuts need, past the taken and the optional', () => {
    expect(nextReading(walk, 'width_bottom')).toBe('height_hinge');
  });

  it('stops at takes that disagree', () => {
    expect(nextReading(walk, 'height_hinge')).toBe('floor');
  });

  it('comes around to what was passed over', () => {
    expect(nextReading(walk, 'floor')).toBe('width_bottom');
  });

  it('does not ask again for what was taped without a signal', () => {
    const command = { item_id: 'i', take_reading: { reading: 'height_hinge', value: 1 } };
    const kept = [{ command: command as Command }];
    expect(nextReading(withWaiting(walk, 'i', kept), 'width_bottom')).toBe('floor');
    expect(nextReading(withWaiting(walk, 'another', kept), 'width_bottom')).toBe('height_hinge');
  });

  it('ends when only the one at hand is left', () => {
    const last = [reading('a', 'taken'), reading('b', 'missing'), reading('c', 'missing', false)];
    expect(nextReading(last, 'b')).toBeNull();
  });
});
