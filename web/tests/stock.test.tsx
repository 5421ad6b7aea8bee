import { signal } from '@preact/signals';
import { render } from 'preact';
import { afterEach, expect, it, vi } from 'vitest';
import type { FollowConfig } from '../src/live/follow.ts';

let heard: FollowConfig | undefined;
const asked = vi.fn((_: string) => Promise.resolve({ rack: [], list: [], seq: 7 }));
const waiting = signal<readonly unknown[]>([]);

vi.mock('../src/live/follow.ts', () => ({
  follow: (_: string, config: FollowConfig) => {
    heard = config;
    return { stop: () => undefined };
  },
}));
vi.mock('../src/api/client.ts', () => ({ api: {}, ask: (path: string) => asked(path) }));
vi.mock('../src/live/device.ts', () => ({}));
vi.mock('../src/live/local.ts', () => ({
  isLocal: () => true,
  outbox: { cutOff: signal(false), sending: signal(false), waiting },
  pullLog: () => Promise.resolve(),
  replica: { seq: () => 7 },
}));
vi.mock('../src/live/store.ts', async () => {
  const { outbox } = await import('../src/live/local.ts');
  const { plans, watch } = await import('../src/live/watch.ts');
  return {
    outbox,
    plans,
    watch,
    pullJob: () => Promise.resolve(),
    jobView: () => signal({ view: { seq: 7 } }),
  };
});

// What it imports is made above.
const { useStock } = await import('../src/saw/stock.ts');

const place = document.createElement('div');

function Saw() {
  const { sheet } = useStock('a');
  return <p>{sheet === undefined ? 'nothing yet' : `as of ${sheet.seq}`}</p>;
}

afterEach(() => render(null, place));

it('is asked for again when somebody else plans, which moves no number of the log', async () => {
  render(<Saw />, place);
  await vi.waitFor(() => expect(place.textContent).toBe('as of 7'));
  expect(asked.mock.calls).toEqual([['/jobs/a/stock']]);
  heard?.onSeq(7, 1);
  expect(asked).toHaveBeenCalledTimes(2);
  heard?.onSeq(7, 1); // the stream was taken up again
  heard?.onSeq(7, false);
  expect(asked).toHaveBeenCalledTimes(2);
  heard?.onSeq(7, 2);
  expect(asked).toHaveBeenCalledTimes(3);
  // What this device has not sent yet is not in the service's answer.
  waiting.value = [{}];
  heard?.onSeq(7, 3);
  expect(asked).toHaveBeenCalledTimes(3);
  waiting.value = [];
  expect(asked).toHaveBeenCalledTimes(4);
  // Without a stream it is asked for with each question for the number.
  await heard?.pull();
  expect(asked).toHaveBeenCalledTimes(5);
});
