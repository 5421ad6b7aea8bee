import { render } from 'preact';
import { afterEach, expect, it, vi } from 'vitest';
import { useFile } from '../src/shell/use-file.ts';

interface ScreenProps {
  readonly load: () => Promise<{ name: string }>;
  readonly wanted?: boolean;
}

const place = document.createElement('div');

function Screen({ load, wanted }: ScreenProps) {
  const file = useFile(load, wanted);
  return <p>{file === undefined ? 'not to be had' : file === null ? 'on its way' : file.name}</p>;
}

const shows = (words: string) => vi.waitFor(() => expect(place.textContent).toBe(words));

afterEach(() => render(null, place));

it('is on its way, then there, and asked for once', async () => {
  let come = (_: { name: string }) => {};
  const load = vi.fn(() => new Promise<{ name: string }>((resolve) => (come = resolve)));
  render(<Screen load={load} />, place);
  await vi.waitFor(() => expect(load).toHaveBeenCalled());
  expect(place.textContent).toBe('on its way');
  render(<Screen load={load} />, place);
  come({ name: 'there' });
  await shows('there');
  expect(load).toHaveBeenCalledTimes(1);
});

it('says where it is not to be had', async () => {
  render(<Screen load={() => Promise.reject(new TypeError('no signal'))} />, place);
  await shows('not to be had');
});

it('is not asked for before it is wanted', async () => {
  const early = vi.fn(() => Promise.resolve({ name: 'early' }));
  render(<Screen load={early} wanted={false} />, place);
  // Effects run after a frame: one that asked would have by the next but one.
  for (let n = 0; n < 2; n += 1) await new Promise((frame) => requestAnimationFrame(frame));
  expect(early).not.toHaveBeenCalled();
  render(<Screen load={() => Promise.resolve({ name: 'there' })} wanted />, place);
  await shows('there');
});
