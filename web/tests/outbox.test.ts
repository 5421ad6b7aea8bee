import { describe, expect, it, vi } from 'vitest';
import { command, newId } from '../src/api/command.ts';
import { Refusal, Unreachable } from '../src/api/refusal.ts';
import type { Command, CommandOutcomes } from '../src/api/views.ts';
import type { OutboxRow } from '../src/live/db.ts';
import { makeOutbox, type Outbox, type OutboxConfig, rowOf } from '../src/live/outbox.ts';
import { noShelf, storageShelf } from '../src/live/shelf.ts';

const job = '018f0000-0000-7000-8000-000000000001';
const item = '018f0000-0000-7000-8000-000000000002';
const marco = 'marco';

class Memory implements Storage {
  readonly kept = new Map<string, string>();
  get length() {
    return this.kept.size;
  }
  key = (at: number) => [...this.kept.keys()][at] ?? null;
  getItem = (key: string) => this.kept.get(key) ?? null;
  setItem = (key: string, value: string) => {
    this.kept.set(key, value);
  };
  removeItem = (key: string) => {
    this.kept.delete(key);
  };
  clear = () => this.kept.clear();
}

function note(text: string, inJob = job): OutboxRow {
  return rowOf(command('note', { job: inJob, item }, { text }), marco, { said: text });
}

const taken = (commands: readonly Command[]): CommandOutcomes => ({
  outcomes: commands.map(({ id }) => ({ command_id: id, applied: true })),
  seq: 7,
  server_time: '2026-03-09T08:00:00Z',
});

function setup(over: Partial<OutboxConfig> = {}) {
  const storage = new Memory();
  const waits: { ms: number; then: () => void }[] = [];
  const onAnswer = vi.fn(() => ({}));
  const onSignedOut = vi.fn();
  const config: OutboxConfig = {
    shelf: Promise.resolve(storageShelf(storage)),
    onAnswer,
    onSettled: () => undefined,
    pulls: () => false,
    onSignedOut,
    chance: () => 1,
    wait: (ms, then) => {
      waits.push({ ms, then });
      return () => undefined;
    },
    ...over,
  };
  const outbox = putting(makeOutbox(config));
  outbox.belongsTo(marco);
  return { outbox, storage, waits, onAnswer, onSignedOut, config };
}

/** As a screen does it: kept, then sent. Tells what came of it, or null while it waits. */
function putting(outbox: Outbox) {
  return {
    ...outbox,
    put: async (row: OutboxRow) => {
      const answer = outbox.answerOf(row.id);
      await outbox.keep(row);
      void outbox.push();
      return answer;
    },
  };
}

const texts = (outbox: { waiting: { value: readonly OutboxRow[] } }) =>
  outbox.waiting.value.map(({ said }) => said);

describe('the outbox', () => {
  it('says with each batch whose work it is', async () => {
    const send = vi.fn(async (_job: string, commands: readonly Command[]) => taken(commands));
    const { outbox } = setup({ send });
    await outbox.put(note('a'));
    expect(send.mock.calls[0]?.slice(2)).toEqual([marco, item]);
  });

  it("keeps what a lost phone sent until a lead's word, and asks again when the log grows", async () => {
    let word = false;
    const sent: string[][] = [];
    const { outbox, waits } = setup({
      pulls: () => true,
      send: async (_, commands) => {
        sent.push(commands.map(({ note }) => note?.text ?? ''));
        if (word) return taken(commands);
        return { ...taken([]), held: commands.map(({ id }) => id), stopped: 'lost' };
      },
    });
    expect(await outbox.put(note('one'))).toBeNull();
    expect(outbox.waiting.value).toMatchObject([{ said: 'one', held: true }]);
    // Nothing else waits behind it, and it is not sent over and over.
    await outbox.put(note('two'));
    expect(sent).toEqual([['one'], ['two']]);
    await outbox.pulled(job, 8);
    await vi.waitFor(() => expect(sent.at(-1)).toEqual(['one', 'two']));
    await vi.waitFor(() => expect(outbox.sending.value).toBe(false));
    await outbox.pulled(job, 8);
    expect(sent.length).toBe(3);
    word = true;
    // No stream tells of a lead's word: the phone asks once a minute as well.
    expect(waits.at(-1)?.ms).toBe(60_000);
    waits.at(-1)?.then();
    await vi.waitFor(() => expect(outbox.waiting.value).toEqual([]));
    expect(sent.length).toBe(4);
    expect(texts(outbox)).toEqual([]);
  });

  it('tells when nothing of a job is left to send, and when something is', async () => {
    const other = '018f0000-0000-7000-8000-000000000003';
    let through = false;
    const ways: (() => void)[] = [];
    const { outbox } = setup({
      send: async (of, commands) => {
        if (of === other) throw new Refusal(403, 'Not yours.');
        await new Promise<void>((go) => ways.push(go));
        if (!through) throw new Unreachable('no answer');
        return taken(commands);
      },
    });
    const sent = (heard: string[], of = job) =>
      outbox.sent(of).then((all) => heard.push(all ? 'all' : 'not all'));
    expect(await outbox.sent(job)).toBe(true);

    // No signal: told, not waited for.
    await outbox.keep(note('one'));
    const told: string[] = [];
    const first = sent(told);
    await vi.waitFor(() => expect(ways.length).toBe(1));
    ways.pop()?.();
    await first;
    expect(told).toEqual(['not all']);

    // A signal: not told before the answer, with what was done meanwhile.
    through = true;
    const heard: string[] = [];
    const second = sent(heard);
    await vi.waitFor(() => expect(ways.length).toBe(1));
    await outbox.keep(note('two'));
    ways.pop()?.();
    await vi.waitFor(() => expect(ways.length).toBe(1));
    expect(heard).toEqual([]);
    ways.pop()?.();
    await second;
    expect(heard).toEqual(['all']);
    expect(texts(outbox)).toEqual([]);

    // What was turned back at the door waits for the person, not for this.
    await outbox.keep(note('three', other));
    expect(await outbox.sent(other)).toBe(true);
    expect(texts(outbox)).toEqual(['three']);
  });

  it('is on the device before anything is sent, and leaves it only once decided', async () => {
    let stored = -1;
    const { outbox, storage } = setup({
      send: async (_, commands) => {
        stored = storage.length;
        return taken(commands);
      },
    });
    const outcome = await outbox.put(note('level is off'));
    expect(stored).toBe(1);
    expect(outcome?.applied).toBe(true);
    expect(storage.length).toBe(0);
    expect(texts(outbox)).toEqual([]);
  });

  it('keeps what could not be sent, says so, tries again later, and sends it once in order', async () => {
    const sent: string[][] = [];
    let signal = false;
    const { outbox, storage, waits } = setup({
      send: async (_, commands) => {
        if (!signal) throw new Unreachable('basement');
        sent.push(commands.map(({ note: body }) => body?.text ?? ''));
        return taken(commands);
      },
    });
    expect(await outbox.put(note('first'))).toBeNull();
    expect(await outbox.put(note('second'))).toBeNull();
    expect(texts(outbox)).toEqual(['first', 'second']);
    expect(outbox.cutOff.value).toBe(true);
    expect(storage.length).toBe(2);
    signal = true;
    waits.at(-1)?.then();
    await vi.waitFor(() => expect(texts(outbox)).toEqual([]));
    expect(sent).toEqual([['first', 'second']]);
    expect(outbox.cutOff.value).toBe(false);
  });

  it('waits longer each time, and never longer than a minute', async () => {
    const { outbox, waits } = setup({ send: () => Promise.reject(new Unreachable('none')) });
    await outbox.put(note('one'));
    for (let n = 0; n < 7; n += 1) await outbox.push();
    expect(waits.map(({ ms }) => ms)).toEqual([
      2_000, 4_000, 8_000, 16_000, 32_000, 60_000, 60_000, 60_000,
    ]);
  });

  it('waits as long as the service asks', async () => {
    const { outbox, waits } = setup({
      send: () => Promise.reject(new Refusal(503, 'Busy.', [], 9)),
    });
    await outbox.put(note('one'));
    expect(waits.map(({ ms }) => ms)).toEqual([9_000]);
  });

  it('outlives the page: a reload finds it and sends the same command', async () => {
    const { outbox, storage } = setup({ send: () => Promise.reject(new Unreachable('none')) });
    const kept = note('before the reload');
    await outbox.put(kept);
    const sent: string[] = [];
    const after = makeOutbox({
      shelf: Promise.resolve(storageShelf(storage)),
      onAnswer: () => ({}),
      onSettled: () => undefined,
      pulls: () => false,
      onSignedOut: () => undefined,
      send: async (_, commands) => {
        sent.push(...commands.map(({ id }) => id));
        return taken(commands);
      },
    });
    after.belongsTo(marco);
    await vi.waitFor(() => expect(storage.length).toBe(0));
    expect(sent).toEqual([kept.command.id]);
  });

  it("never sends one person's entries for another", async () => {
    const send = vi.fn(async (_: string, commands: readonly Command[]) => taken(commands));
    const { outbox, storage } = setup({ send: () => Promise.reject(new Unreachable('none')) });
    await outbox.put(note('mine'));
    const next = makeOutbox({
      shelf: Promise.resolve(storageShelf(storage)),
      onAnswer: () => ({}),
      onSettled: () => undefined,
      pulls: () => false,
      onSignedOut: () => undefined,
      send,
    });
    next.belongsTo('tess');
    await next.push();
    expect(send).not.toHaveBeenCalled();
    expect(texts(next)).toEqual([]);
    expect(storage.length).toBe(1);
  });

  it('holds everything when the service asks who this is', async () => {
    const { outbox, onSignedOut } = setup({
      send: () => Promise.reject(new Refusal(401, 'Sign in first.')),
    });
    expect(await outbox.put(note('one'))).toBeNull();
    expect(onSignedOut).toHaveBeenCalledOnce();
    expect(texts(outbox)).toEqual(['one']);
  });

  it('finds the one that is turned back at the door, and lets the others pass', async () => {
    let signal = false;
    const { outbox } = setup({
      send: async (_, commands) => {
        if (!signal) throw new Unreachable('none');
        if (commands.some(({ note: body }) => body?.text === 'bad')) {
          throw new Refusal(422, 'Not as it must be.');
        }
        return taken(commands);
      },
    });
    for (const text of ['good', 'bad', 'also good']) await outbox.put(note(text));
    signal = true;
    await outbox.push();
    expect(outbox.waiting.value.map(({ said, stuck }) => [said, stuck])).toEqual([
      ['bad', 'Not as it must be.'],
    ]);
  });

  it('keeps a stuck entry until the person takes it out or has it tried again', async () => {
    let open = false;
    const { outbox, storage } = setup({
      send: async (_, commands) => {
        if (!open) throw new Refusal(404, 'No such job.');
        return taken(commands);
      },
    });
    await outbox.put(note('one'));
    await outbox.put(note('two'));
    await outbox.push();
    expect(texts(outbox)).toEqual(['one', 'two']);
    await outbox.drop(outbox.waiting.value[0]?.command.id ?? '');
    expect(storage.length).toBe(1);
    open = true;
    await outbox.retry();
    expect(texts(outbox)).toEqual([]);
  });

  it('sends the rest again when the service stopped part of the way', async () => {
    const sizes: number[] = [];
    let signal = false;
    const { outbox, waits } = setup({
      send: async (_, commands) => {
        if (!signal) throw new Unreachable('none');
        sizes.push(commands.length);
        const some = sizes.length === 1 ? commands.slice(0, 1) : commands;
        return { ...taken(some), stopped: 'The service is stopping.' };
      },
    });
    await outbox.put(note('one'));
    await outbox.put(note('two'));
    signal = true;
    await outbox.push();
    expect(texts(outbox)).toEqual(['two']);
    waits.at(-1)?.then();
    await vi.waitFor(() => expect(texts(outbox)).toEqual([]));
    expect(sizes).toEqual([2, 1]);
  });

  it("sends each job's commands to its own job", async () => {
    const jobs: string[] = [];
    let signal = false;
    const other = '018f0000-0000-7000-8000-00000000000f';
    const { outbox } = setup({
      send: async (to, commands) => {
        if (!signal) throw new Unreachable('none');
        jobs.push(`${to.slice(-1)}:${commands.length}`);
        return taken(commands);
      },
    });
    for (const to of [job, job, other, job]) await outbox.put(note('x', to));
    signal = true;
    await outbox.push();
    expect(jobs).toEqual(['1:2', 'f:1', '1:1']);
  });

  it('keeps what a full storage would not take, also when another tab writes there', async () => {
    const { outbox, storage } = setup({ send: () => Promise.reject(new Unreachable('none')) });
    await outbox.put(note('stored'));
    storage.setItem = () => {
      throw new DOMException('full', 'QuotaExceededError');
    };
    await outbox.put(note('only in memory'));
    expect(outbox.lasting.value).toBe(false);
    await outbox.reread();
    expect(texts(outbox)).toEqual(['stored', 'only in memory']);
  });

  it('sets aside what breaks the service again and again, so that it holds up nothing else', async () => {
    const { outbox } = setup({
      send: async (_, commands) => {
        if (commands.some(({ note: body }) => body?.text === 'poison')) {
          throw new Refusal(500, 'Something went wrong on our side.');
        }
        return taken(commands);
      },
    });
    await outbox.put(note('poison'));
    void outbox.put(note('fine'));
    for (let n = 0; n < 5; n += 1) await outbox.push();
    expect(outbox.waiting.value.map(({ said, stuck }) => [said, stuck])).toEqual([
      ['poison', 'Something went wrong on our side.'],
    ]);
  });

  it('works without storage, as long as the page', async () => {
    let signal = false;
    const { outbox } = setup({
      shelf: Promise.resolve(noShelf()),
      send: async (_, commands) => {
        if (!signal) throw new Unreachable('none');
        return taken(commands);
      },
    });
    await outbox.put(note('one'));
    expect(texts(outbox)).toEqual(['one']);
    signal = true;
    await outbox.push();
    expect(texts(outbox)).toEqual([]);
  });
});

describe('command ids', () => {
  it('are UUIDs of version 7 that sort by the moment they were made', () => {
    const ids = Array.from({ length: 5_000 }, () => newId(1_764_000_000_000));
    expect(ids[0]).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
    expect([...ids].sort()).toEqual(ids);
    expect(new Set(ids).size).toBe(ids.length);
    // RFC 9562, 5.7: the first 48 bits are the Unix time in milliseconds.
    const later = newId(4_000_000_000_000);
    expect(Number.parseInt(later.replaceAll('-', '').slice(0, 12), 16)).toBe(4_000_000_000_000);
  });

  it('stay in order when the clock is set back', () => {
    const before = newId(5_000_000_000_000);
    expect(newId(4_999_999_999_000) > before).toBe(true);
  });
});
