import { describe, expect, it } from 'vitest';
import { command } from '../src/api/command.ts';
import { Unreachable } from '../src/api/refusal.ts';
import type { ItemView, JobView } from '../src/api/views.ts';
import type { OutboxRow } from '../src/live/db.ts';
import { type Keep, memoryKeep } from '../src/live/keep.ts';
import { rowOf } from '../src/live/outbox.ts';
import { readPage, readState } from '../src/live/pulled.ts';
import { makeReplica } from '../src/live/replica.ts';
import { CallRefused, type Entry, type Jobs } from '../src/rulebook/jobs.ts';

const job = '018f0000-0000-7000-8000-000000000001';
const item = '018f0000-0000-7000-8000-000000000002';
const marco = 'marco';

/**
 * A rule book whose jobs are lists of texts: enough to see what is folded where. The real one is
 * asked in the browser tests. It refuses a text that holds "bad".
 */
function bookOfTexts() {
  const open = new Map<string, { seq: number; texts: string[] }>();
  const of = (as: string) => {
    const found = open.get(as);
    if (found === undefined) throw new CallRefused('not_open', `No job is open as ${as}.`);
    return found;
  };
  const jobs: Pick<
    Jobs,
    | 'open'
    | 'openText'
    | 'copy'
    | 'close'
    | 'stateText'
    | 'applyText'
    | 'decide'
    | 'viewItem'
    | 'viewJob'
  > = {
    open: async (as) => {
      open.set(as, { seq: 0, texts: [] });
      return 0;
    },
    openText: async (as, state) => {
      const job = JSON.parse(state) as { seq: number; texts: string[] };
      open.set(as, job);
      return job.seq;
    },
    copy: async (from, as) => {
      const { seq, texts } = of(from);
      open.set(as, { seq, texts: [...texts] });
      return seq;
    },
    close: async (as) => {
      of(as);
      open.delete(as);
    },
    stateText: async (as) => JSON.stringify(of(as)),
    applyText: async (as, entries) => {
      const job = of(as);
      for (const { seq, command } of JSON.parse(entries) as Entry[]) {
        if (seq <= job.seq) continue;
        if (seq > job.seq + 1) throw new CallRefused('gap', `${job.seq + 1} is missing`);
        job.seq = seq;
        job.texts.push(command.note?.text ?? '');
      }
      return { seq: job.seq, touched: [item] };
    },
    decide: async (as, { command }) => {
      const text = command.note?.text ?? '';
      if (text.includes('bad')) {
        return { refused: true, entries: [], findings: [{ code: 'no', severity: 'stop' }] };
      }
      of(as).texts.push(`${text}?`);
      return { refused: false, entries: [], findings: [] };
    },
    viewItem: async (as) => ({ name: of(as).texts.join(' ') }) as ItemView,
    viewJob: async (as) => ({ name: of(as).texts.join(' ') }) as JobView,
  };
  return { jobs: jobs as Jobs, open };
}

const note = (text: string) =>
  rowOf(command('note', { job, item }, { text }), marco, { said: text });

function setup(over: { keep?: Keep; log?: string[] } = {}) {
  const book = bookOfTexts();
  const keep = over.keep ?? memoryKeep();
  const log = over.log ?? ['one', 'two', 'three'];
  const asked: string[] = [];
  let waiting: OutboxRow[] = [];
  let signal = true;
  let pageSize = 5000;
  const changes: (readonly string[] | null)[] = [];
  const around: string[] = [];
  const made: string[] = [];
  let onApplied = () => {};
  const entries = (from: number, to: number) =>
    JSON.stringify(
      log.slice(from, to).map((text, at) => ({ seq: from + at + 1, command: note(text).command })),
    );
  const replica = makeReplica({
    jobs: book.jobs,
    keep: Promise.resolve(keep),
    eyes: () => ({
      person: marco,
      role: 'installer',
      company: {},
      reader: { language: 'en', unit: 'in', step: 1, now: '2026-03-12T09:00:00Z' },
      corrected: (time) => time,
    }),
    fetchState: async () => {
      if (!signal) throw new Unreachable('basement');
      asked.push('state');
      return `{"seq":${log.length},"state":${JSON.stringify({ seq: log.length, texts: [...log] })},"company":{},"people":[]}`;
    },
    fetchLog: async (_, after, limit) => {
      if (!signal) throw new Unreachable('basement');
      asked.push(`log after ${after}`);
      const to = Math.min(after + Math.min(limit, pageSize), log.length);
      return `{"entries":${entries(after, to)},"seq":${log.length},"more":${to < log.length},"server_time":"2026-03-12T09:00:00Z"}`;
    },
    unpulled: () => waiting,
    onHeard: async () => {
      around.push(`before: ${(await replica.viewItem(job, item))?.name}`);
    },
    onPulled: async (_, seq) => {
      around.push(`after: ${(await replica.viewConfirmed(job, item))?.name}`);
      waiting = waiting.filter(({ logged_seq }) => logged_seq === undefined || logged_seq > seq);
    },
    onMade: ({ view, outbox }) => made.push(`${view.name} (${outbox.length} waiting)`),
    onApplied: () => onApplied(),
    onChange: (_, items) => changes.push(items),
  });
  return {
    replica,
    book,
    keep,
    log,
    asked,
    changes,
    around,
    made,
    whenApplied: (then: () => void) => {
      onApplied = then;
    },
    put: async (text: string) => {
      const row = note(text);
      return replica.decide(row, async () => {
        waiting = [...waiting, row];
      });
    },
    waits: () => waiting,
    /** The service takes what waits into its log. */
    taken: () => {
      waiting = waiting.map((row) => {
        if (row.logged_seq !== undefined) return row;
        log.push(row.said);
        return { ...row, logged_seq: log.length };
      });
    },
    refusedThere: (said: string) => {
      waiting = waiting.filter((row) => row.said !== said);
    },
    signalIs: (is: boolean) => {
      signal = is;
    },
    pagesOf: (size: number) => {
      pageSize = size;
    },
    shown: async () => (await replica.viewItem(job, item))?.name,
  };
}

describe('a job on the device', () => {
  it('tells of the views it makes, but not of one that the log has left behind', async () => {
    const phone = setup();
    await phone.replica.pull(job);
    await phone.put('tick');
    await phone.shown();
    expect(phone.made).toEqual(['one two three tick? (1 waiting)']);
    phone.log.push('four');
    // Looked at between the pull and the copy that is made anew with what waits.
    let between: Promise<string | undefined> | undefined;
    let told = 0;
    phone.whenApplied(() => {
      told = phone.made.length;
      between = phone.shown();
    });
    await phone.replica.pull(job);
    expect(await between).toBe('one two three tick?');
    expect(phone.made).toHaveLength(told);
    await phone.shown();
    expect(phone.made.at(-1)).toBe('one two three four tick? (1 waiting)');
  });

  it('comes as it stands, goes on by the log, and opens again without a signal', async () => {
    const first = setup();
    expect(await first.replica.open(job)).toBe(false);
    await first.replica.pull(job);
    expect(await first.shown()).toBe('one two three');
    first.log.push('four', 'five', 'six');
    first.pagesOf(2);
    await first.replica.pull(job);
    expect(first.asked).toEqual(['state', 'log after 3', 'log after 3', 'log after 5']);
    expect(await first.shown()).toBe('one two three four five six');

    const again = setup({ keep: first.keep });
    again.signalIs(false);
    expect(await again.replica.open(job)).toBe(true);
    expect(await again.shown()).toBe('one two three four five six');
    expect(again.replica.seq(job)).toBe(6);
    await expect(again.replica.pull(job)).rejects.toBeInstanceOf(Unreachable);
    expect(await again.shown()).toBe('one two three four five six');
  });

  it('shows what was done at once, once it is kept, and on top of what comes', async () => {
    const { replica, put, shown, log, taken, waits } = setup();
    await replica.pull(job);
    let seen: string | undefined;
    const row = note('mine');
    await replica.decide(row, async () => {
      seen = row.said;
    });
    expect(seen).toBe('mine');
    await replica.refold(job); // it was not kept after all
    expect(await shown()).toBe('one two three');

    await put('mine');
    expect(await shown()).toBe('one two three mine?');
    log.push('theirs');
    await replica.pull(job);
    expect(await shown()).toBe('one two three theirs mine?');
    // In the log, and not pulled yet: still shown, also when the signal goes in between.
    taken();
    expect(await shown()).toBe('one two three theirs mine?');
    await replica.pull(job);
    expect(await shown()).toBe('one two three theirs mine');
    expect(waits()).toEqual([]);
  });

  it('tells how things stood before it heard more, and how by the log, while what waits is still kept', async () => {
    const { replica, put, log, taken, around, waits } = setup();
    await replica.pull(job);
    await put('mine');
    taken();
    log.push('theirs');
    around.length = 0;
    const waiting = waits().length;
    await replica.pull(job);
    expect(around).toEqual(['before: one two three mine?', 'after: one two three mine theirs']);
    expect([waiting, waits().length]).toEqual([1, 0]);
    around.length = 0;
    await replica.pull(job); // nothing new
    expect(around).toEqual(['after: one two three mine theirs']);
  });

  it('does not show what its rules refuse, nor keep it as done', async () => {
    const { replica, put, shown, waits } = setup();
    await replica.pull(job);
    const decision = await put('bad');
    expect(decision.refused).toBe(true);
    expect(waits()).toEqual([]);
    expect(await shown()).toBe('one two three');
  });

  it('takes back what the service refused', async () => {
    const { replica, put, shown, refusedThere, changes } = setup();
    await replica.pull(job);
    await put('mine');
    await put('not theirs');
    refusedThere('not theirs');
    await replica.pull(job);
    expect(await shown()).toBe('one two three mine?');
    expect(changes.at(-1)).toContain(item);
  });

  it('gives a tick its turn while the log is being pulled', async () => {
    const { replica, put, shown, log, pagesOf } = setup();
    await replica.pull(job);
    log.push('four', 'five');
    pagesOf(1);
    const pulling = replica.pull(job);
    await put('mine');
    await pulling;
    expect(await shown()).toBe('one two three four five mine?');
  });

  it('opens its jobs again when the rule book had to be loaded afresh', async () => {
    const { replica, book, put, shown } = setup();
    await replica.pull(job);
    await put('mine');
    book.open.clear();
    expect(await shown()).toBe('one two three mine?');
    book.open.clear();
    await put('again');
    expect(await shown()).toBe('one two three mine? again?');
  });

  it('asks once more when it is told of more while it asks', async () => {
    const { replica, log, asked, shown } = setup();
    await replica.pull(job);
    asked.length = 0;
    const pulls = [replica.pull(job), replica.pull(job), replica.pull(job)];
    log.push('late');
    await Promise.all(pulls);
    expect(asked.length).toBeLessThanOrEqual(2);
    expect(await shown()).toBe('one two three late');
  });

  it('fetches the log from before it was here, and reads an item from it', async () => {
    const { replica, log, asked } = setup();
    await replica.pull(job);
    log.push('four');
    await replica.pull(job);
    expect(await replica.itemLog(job, item)).toBeNull();
    await replica.fetchOlder(job);
    const entries = await replica.itemLog(job, item);
    expect(entries?.map(({ command }) => command.note?.text)).toEqual([
      'four',
      'three',
      'two',
      'one',
    ]);
    asked.length = 0;
    await replica.fetchOlder(job);
    expect(asked).toEqual([]);
  });

  it('is gone from the device when it is forgotten', async () => {
    const { replica, keep } = setup();
    await replica.pull(job);
    await replica.forget(job);
    expect(await keep.state(marco, job)).toBeUndefined();
    expect(replica.isOpen(job)).toBe(false);
    expect(await replica.open(job)).toBe(false);
  });
});

describe('a page of the log', () => {
  it('is cut at its edges, whatever its entries say', () => {
    const odd = '},{\\"seq\\":9';
    const entries = `[{"seq":3,"command":{"note":{"text":"${odd}"}}},{"seq":4,"command":{}}]`;
    const wanted = { entries, more: true, firstSeq: 3, lastSeq: 4 };
    expect(readPage(`{"entries":${entries},"seq":9,"more":true}`)).toEqual(wanted);
    expect(
      readPage(`{"entries":${entries},"seq":9,"more":true,"server_time":"2026-03-12T09:00:00Z"}\n`),
    ).toEqual(wanted);
    // In another order it is read in full.
    expect(readPage(`{"more":true,"seq":9,"entries":${entries}}`)).toMatchObject({
      more: true,
      firstSeq: 3,
      lastSeq: 4,
    });
    expect(readPage('{"entries":[],"seq":9,"more":false}')).toMatchObject({ lastSeq: 0 });
  });

  it('and a state out of its answer', () => {
    const state = '{"job":{"name":"},\\"company\\":"},"seq":2}';
    const wanted = { state, seq: 2 };
    expect(readState(`{"seq":2,"state":${state},"company":{"coats":3},"people":[]}`)).toEqual(
      wanted,
    );
    expect(readState(`{"state":${state},"seq":2}`)).toEqual(wanted);
  });
});
