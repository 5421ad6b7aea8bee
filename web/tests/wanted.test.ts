import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { show } from '../src/shell/wanted.ts';

const door = '/bench/jobs/1/items/2';

beforeEach(() => {
  vi.useFakeTimers();
  document.body.innerHTML = '';
  history.replaceState(null, '', '/bench');
});
afterEach(() => vi.useRealTimers());

it('a touched notification waits for the screen that is being made', async () => {
  document.body.innerHTML = '<main aria-busy="true"></main>';
  const shown = show({ kind: 'show', path: door });
  await vi.advanceTimersByTimeAsync(500);
  expect(location.pathname).toBe('/bench');
  document.body.innerHTML = '<main></main>';
  await vi.advanceTimersByTimeAsync(200);
  await shown;
  expect(location.pathname).toBe(door);
});

it('with a tape in the hand, or on a screen that never comes, nobody is moved', async () => {
  document.body.innerHTML = '<div class="tape"></div>';
  await show({ kind: 'show', path: door });
  document.body.innerHTML = '<main aria-busy="true"></main>';
  const shown = show({ kind: 'show', path: door });
  await vi.advanceTimersByTimeAsync(15_000);
  await shown;
  expect(location.pathname).toBe('/bench');
});
