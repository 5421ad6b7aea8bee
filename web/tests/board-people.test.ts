import { expect, test } from 'vitest';
import { crew, personName, working } from '../src/board/people.ts';
import { forgetShown, peopleShown } from '../src/live/shown.ts';

test('the board names the crew that the device keeps, and forgets it with whoever signs out', () => {
  peopleShown.value = [
    { id: 'tess', name: 'Tess Moran', role: 'installer' },
    { id: 'old', name: 'Old Hand', role: 'installer', left: true },
  ] as typeof peopleShown.value;
  expect(personName('tess')).toBe('Tess Moran');
  expect(personName('old')).toBe('Old Hand');
  expect(working.value.map(({ id }) => id)).toEqual(['tess']);
  forgetShown();
  expect(crew.value).toEqual([]);
  expect(personName('tess')).toBeNull();
});
