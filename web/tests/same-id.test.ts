import { expect, test } from 'vitest';
import { sameId } from '../src/board/same-id.ts';

test('an id stays while the same is asked, and is another once it was answered', () => {
  const ids = sameId();
  const ada = { guest_name: 'Ada Brandt', rooms: ['hall'] };
  const first = ids.of(ada);
  expect(first).toMatch(/^[0-9a-f-]{36}$/);
  expect(ids.of({ ...ada })).toBe(first);
  const other = ids.of({ ...ada, guest_name: 'Dana Whitfield' });
  expect(other).not.toBe(first);
  ids.answered();
  expect(ids.of({ ...ada, guest_name: 'Dana Whitfield' })).not.toBe(other);
});
