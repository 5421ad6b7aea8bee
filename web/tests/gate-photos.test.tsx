import { render } from 'preact';
import { act } from 'preact/test-utils';
import { expect, it, vi } from 'vitest';
import { Gate } from '../src/sign-in/gate.tsx';

const startPhotos = vi.hoisted(() => vi.fn());
vi.mock('../src/photos/live.ts', () => ({ startPhotos }));
vi.mock('../src/live/store.ts', async (original) => ({
  ...(await original<object>()),
  startStore: () => undefined,
}));

it('photos go on being sent on whatever screen is opened, after it stands', async () => {
  vi.useFakeTimers();
  vi.stubGlobal('fetch', () => Promise.reject(new Error('no signal')));
  const place = document.createElement('div');
  await act(() => render(<Gate>{() => <p>The board</p>}</Gate>, place));
  expect(startPhotos).not.toHaveBeenCalled();
  await vi.advanceTimersByTimeAsync(2_000);
  vi.useRealTimers();
  await vi.waitFor(() => expect(startPhotos).toHaveBeenCalled());
  render(null, place);
  vi.unstubAllGlobals();
});
