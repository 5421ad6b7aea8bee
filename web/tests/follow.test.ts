import { describe, expect, it, vi } from 'vitest';
import { events, follow } from '../src/live/follow.ts';

const bytes = (text: string) => new TextEncoder().encode(text);

function stream(...parts: readonly (string | Error)[]): ReadableStream<Uint8Array> {
  let at = 0;
  return new ReadableStream({
    pull(control) {
      const part = parts[at];
      at += 1;
      if (part === undefined) control.close();
      else if (part instanceof Error) control.error(part);
      else control.enqueue(bytes(part));
    },
  });
}

describe('server-sent events', () => {
  it('are cut at blank lines, whatever the pieces they came in', async () => {
    const heard: unknown[] = [];
    const text =
      ': listening\n\nid: 4\ndata: {"seq":4}\n\n: beat\n\nid: 5\ndata: a\ndata: b\r\n\r\n';
    for await (const event of events(stream(...text.split(/(?<=[aq:])/)))) heard.push(event);
    expect(heard).toEqual([
      { id: '4', data: '{"seq":4}' },
      { id: '5', data: 'a\nb' },
    ]);
  });

  it('do not give an event that was cut off in the middle', async () => {
    const heard: unknown[] = [];
    for await (const event of events(stream('id: 9\ndata: {"seq":9}\n'))) heard.push(event);
    expect(heard).toEqual([]);
  });
});

describe('following a job', () => {
  const run = (
    open: (job: string, last: string | null) => Promise<ReadableStream<Uint8Array>>,
    rounds: number,
  ) => {
    const waits: number[] = [];
    const seqs: number[] = [];
    const pulls = vi.fn(() => Promise.resolve());
    return new Promise<{ waits: number[]; seqs: number[]; pulls: number }>((resolve) => {
      const following = follow('job', {
        open: (job, last) => open(job, last),
        onSeq: (seq) => seqs.push(seq),
        pull: pulls,
        chance: () => 1,
        wait: (ms) => {
          waits.push(ms);
          if (waits.length === rounds) {
            following.stop();
            resolve({ waits, seqs, pulls: pulls.mock.calls.length });
          }
          return Promise.resolve();
        },
      });
    });
  };

  it('lets go of a stream that has gone silent, and holds one on which the service says it is there', async () => {
    vi.useFakeTimers();
    const aborted: boolean[] = [];
    let beat: () => void = () => undefined;
    const following = follow('job', {
      open: async (_, __, signal) => {
        const at = aborted.push(false) - 1;
        return new ReadableStream<Uint8Array>({
          start(control) {
            beat = () => control.enqueue(bytes(': beat\n\n'));
            signal.addEventListener('abort', () => {
              aborted[at] = true;
              control.error(new Error('aborted'));
            });
          },
        });
      },
      onSeq: () => undefined,
      pull: () => Promise.resolve(),
      wait: () => Promise.resolve(),
    });
    await vi.advanceTimersByTimeAsync(40_000);
    beat();
    await vi.advanceTimersByTimeAsync(40_000);
    expect(aborted).toEqual([false]);
    await vi.advanceTimersByTimeAsync(20_000);
    expect(aborted).toEqual([true, false]);
    following.stop();
    expect(aborted).toEqual([true, true]);
    vi.useRealTimers();
  });

  it('comes back with the last number it heard', async () => {
    const asked: (string | null)[] = [];
    const { seqs, waits } = await run(async (_, last) => {
      asked.push(last);
      return stream(`id: ${asked.length * 10}\ndata: {"seq":${asked.length * 10}}\n\n`);
    }, 3);
    expect(asked).toEqual([null, '10', '20']);
    expect(seqs).toEqual([10, 20, 30]);
    expect(waits).toEqual([1_000, 1_000, 1_000]);
  });

  it('tells of another saw plan under the number as it was', async () => {
    const told: unknown[] = [];
    const said = '{"seq":7}\n\nid: 7\ndata: {"seq":7,"stock":1764216000000000}';
    await new Promise<void>((resolve) => {
      const following = follow('job', {
        open: () => Promise.resolve(stream(`id: 7\ndata: ${said}\n\n`)),
        onSeq: (...heard) => told.push(heard),
        pull: () => Promise.resolve(),
        wait: () => {
          following.stop();
          resolve();
          return Promise.resolve();
        },
      });
    });
    expect(told).toEqual([
      [7, false],
      [7, 1_764_216_000_000_000],
    ]);
  });

  it('comes back when the service asked it to, after a stream that was well', async () => {
    const parts = ['retry: 4321\n: listening\n\n', 'id: 7\ndata: {"seq":7}\n\n'];
    const { seqs, waits } = await run(() => Promise.resolve(stream(...parts)), 2);
    expect(seqs).toEqual([7, 7]);
    expect(waits).toEqual([4_321, 4_321]);
    // What was asked for once is no reason to hammer a service that is not there.
    let first = true;
    const lost = await run(() => {
      if (!first) return Promise.reject(new Error('none'));
      first = false;
      return Promise.resolve(stream(...parts));
    }, 3);
    expect(lost.waits).toEqual([4_321, 2_000, 4_000]);
  });

  it('calls ever less often when there is no stream, up to half a minute, and pulls meanwhile', async () => {
    const { waits, pulls } = await run(() => Promise.reject(new Error('none')), 7);
    expect(waits).toEqual([2_000, 4_000, 8_000, 16_000, 30_000, 30_000, 30_000]);
    expect(pulls).toBe(6);
  });

  it('takes a stream that is cut off at once, without a word, for none', async () => {
    const { waits, pulls } = await run(() => Promise.resolve(stream(': listening\n\n')), 3);
    expect(waits).toEqual([2_000, 4_000, 8_000]);
    expect(pulls).toBe(2);
  });

  it('holds two streams at most, and asks for the rest by number now and then', async () => {
    const open = vi.fn(
      (_: string, __: string | null, signal: AbortSignal) =>
        new Promise<ReadableStream<Uint8Array>>((_, reject) => {
          signal.addEventListener('abort', () => reject(new Error('stopped')));
        }),
    );
    const waits: number[] = [];
    const pull = vi.fn(async () => undefined);
    const jobs = ['a', 'b', 'c', 'd'].map((job) =>
      follow(job, {
        open,
        onSeq: () => undefined,
        pull,
        chance: () => 1,
        wait: (ms, signal) => {
          waits.push(ms);
          return new Promise((resolve) => signal.addEventListener('abort', () => resolve()));
        },
      }),
    );
    await vi.waitFor(() => expect(waits).toEqual([30_000, 30_000]));
    expect(open.mock.calls.map(([job]) => job)).toEqual(['a', 'b']);
    expect(pull).toHaveBeenCalledTimes(2);
    for (const job of jobs) job.stop();
    // Their places are free again.
    const { seqs } = await run(() => Promise.resolve(stream('data: {"seq":3}\n\n')), 1);
    expect(seqs).toEqual([3]);
  });

  it('survives a line that is not what it should be', async () => {
    const { seqs } = await run(
      () => Promise.resolve(stream('data: ?\n\ndata: {"seq":"x"}\n\ndata: {"seq":2}\n\n')),
      1,
    );
    expect(seqs).toEqual([2]);
  });
});
