import 'fake-indexeddb/auto';
import { describe, expect, it, vi } from 'vitest';
import { command } from '../src/api/command.ts';
import type { Command, CommandOutcomes } from '../src/api/views.ts';
import { type Db, openDb } from '../src/live/db.ts';
import { dbKeep, follow, memoryKeep } from '../src/live/keep.ts';
import { makeOutbox, type Outbox, rowOf } from '../src/live/outbox.ts';
import { returnsOf, takeAnswer } from '../src/live/returned.ts';
import { dbShelf, openShelf, type Shelf } from '../src/live/shelf.ts';

const job = '018f0000-0000-7000-8000-000000000001';
const item = '018f0000-0000-7000-8000-000000000002';
const marco = 'marco';

let databases = 0;
function newName(): string {
  databases += 1;
  return `kept-${databases}`;
}

async function opened(name: string): Promise<Db> {
  const db = await openDb(name);
  if (db === null) throw new Error('no database');
  return db;
}

const note = (text: string) =>
  rowOf(command('note', { job, item }, { text }), marco, { said: text });

/** A service that keeps what it decided, by id, and refuses what says so. */
function service() {
  const decided = new Map<string, boolean>();
  let seq = 0;
  const seqs = new Map<string, number>();
  return {
    decided,
    send: async (_: string, commands: readonly Command[]): Promise<CommandOutcomes> => ({
      outcomes: commands.map(({ id, note: body }) => {
        const known = decided.get(id);
        const applied = known ?? body?.text !== 'bad';
        if (known === undefined) {
          decided.set(id, applied);
          if (applied) {
            seq += 1;
            seqs.set(id, seq);
          }
        }
        const at = seqs.get(id);
        return applied && at !== undefined
          ? { command_id: id, applied, first_seq: at, last_seq: at }
          : { command_id: id, applied, findings: [{ code: 'x', severity: 'stop' as const }] };
      }),
      seq,
      server_time: new Date().toISOString(),
    }),
    last: () => seq,
  };
}

function outboxOver(
  shelf: Shelf,
  send: (job: string, commands: readonly Command[]) => Promise<CommandOutcomes>,
): Outbox {
  return makeOutbox({
    shelf: Promise.resolve(shelf),
    send,
    onAnswer: takeAnswer,
    onSettled: () => undefined,
    pulls: () => true,
    onSignedOut: () => undefined,
    wait: () => () => undefined,
  });
}

/** Stops for good, before or after the nth thing it is asked: the process was killed there. */
function killing(at: number) {
  let points = 0;
  let dead = false;
  let tell: () => void = () => undefined;
  const killed = new Promise<'killed'>((resolve) => {
    tell = () => resolve('killed');
  });
  const point = (): Promise<unknown> => {
    points += 1;
    if (points === at) {
      dead = true;
      tell();
    }
    return dead ? new Promise(() => undefined) : Promise.resolve();
  };
  const step = async <T>(work: () => Promise<T>): Promise<T> => {
    await point();
    const result = await work();
    await point();
    return result;
  };
  return { step, killed };
}

describe('what is kept on the device', () => {
  it('survives a kill at any point: every command that was called kept is accounted for', async () => {
    let point = 0;
    let done = false;
    while (!done) {
      point += 1;
      const name = newName();
      const db = await opened(name);
      const shelf = dbShelf(db);
      await returnsOf('');
      const { step, killed } = killing(point);
      const there = service();
      const calledKept: string[] = [];
      const outbox = outboxOver(
        {
          ...shelf,
          outbox: () => step(shelf.outbox),
          take: (change) => step(() => shelf.take(change)),
        },
        (to, commands) => step(() => there.send(to, commands)),
      );
      const day = async () => {
        outbox.belongsTo(marco);
        for (const text of ['one', 'bad', 'three', 'four']) {
          const row = note(text);
          await outbox.keep(row);
          calledKept.push(row.id);
          if (text === 'three') await outbox.push();
        }
        await outbox.push();
        await outbox.pulled(job, there.last());
        return 'done' as const;
      };
      done = (await Promise.race([day(), killed])) === 'done';
      db.close();

      const again = await opened(name);
      const after = dbShelf(again);
      const left = (await after.outbox()).map(({ id }) => id);
      const refused = (await after.refused(marco)).map(({ id }) => id);
      for (const id of calledKept) {
        const accounted = left.includes(id) || refused.includes(id) || there.decided.get(id);
        expect(accounted, `killed at ${point}: ${id}`).toBe(true);
      }
      // Signed in again: everything arrives, once, and what was refused lies before its author.
      const next = outboxOver(after, there.send);
      await next.ready;
      next.belongsTo(marco);
      await next.push();
      await next.pulled(job, there.last());
      for (const id of calledKept) expect(there.decided.has(id), `${point}: ${id}`).toBe(true);
      expect(await after.outbox()).toEqual([]);
      const notTaken = [...there.decided].filter(([, applied]) => !applied).map(([id]) => id);
      expect((await after.refused(marco)).map(({ id }) => id)).toEqual(notTaken);
      again.close();
    }
    // A put, a reread, a send and a take each have a before and an after.
    expect(point).toBeGreaterThan(20);
  });

  it('stays until the log that holds it has been pulled, and is neither sent again nor called waiting', async () => {
    const db = await opened(newName());
    const there = service();
    const send = vi.fn(there.send);
    const outbox = outboxOver(dbShelf(db), send);
    outbox.belongsTo(marco);
    const row = note('one');
    await outbox.keep(row);
    await outbox.push();
    expect(outbox.waiting.value).toEqual([]);
    expect(outbox.unpulled(job).map(({ id, logged_seq }) => [id, logged_seq])).toEqual([
      [row.id, 1],
    ]);
    await outbox.push();
    expect(send).toHaveBeenCalledOnce();
    await outbox.pulled(job, 0);
    expect(outbox.unpulled(job)).toHaveLength(1);
    await outbox.pulled(job, 1);
    expect(outbox.unpulled(job)).toEqual([]);
    expect(await db.count('outbox')).toBe(0);
  });

  it('is carried over from localStorage, as the first app wrote it, and only then leaves there', async () => {
    localStorage.clear();
    const old = command('note', { job, item }, { text: 'from before' });
    localStorage.setItem(
      `longpoint.outbox.${old.id}`,
      JSON.stringify({ command: old, person: marco, said: 'a note' }),
    );
    localStorage.setItem('longpoint.outbox.unreadable', '{');
    const db = await opened(newName());
    const shelf = await openShelf(db, localStorage);
    expect(await shelf.outbox()).toEqual([
      { id: old.id, person_id: marco, job_id: job, command: old, said: 'a note' },
    ]);
    expect(await db.count('outbox')).toBe(1);
    expect(Object.keys(localStorage)).toEqual(['longpoint.outbox.unreadable']);
  });

  it('goes to localStorage when a newer app has taken the database', async () => {
    localStorage.clear();
    const db = await opened(newName());
    const shelf = await openShelf(db, localStorage);
    db.close();
    const row = note('late');
    await shelf.take({ put: [row] });
    expect(localStorage.getItem(`longpoint.outbox.${row.id}`)).toContain('late');
  });

  it('lets one tab see what another has put there', async () => {
    const db = await opened(newName());
    const [one, other] = [
      outboxOver(dbShelf(db), () => Promise.reject(new Error('no signal'))),
      outboxOver(dbShelf(db), () => Promise.reject(new Error('no signal'))),
    ];
    one.belongsTo(marco);
    other.belongsTo(marco);
    await one.keep(note('from the first tab'));
    await other.reread();
    expect(other.waiting.value.map(({ said }) => said)).toEqual(['from the first tab']);
    expect(other.others.value.size).toBe(0);
  });

  it("keeps another person's work for them and says how much it is", async () => {
    const db = await opened(newName());
    const there = service();
    const outbox = outboxOver(dbShelf(db), there.send);
    await outbox.keep(note('marco did this'));
    outbox.belongsTo('tess');
    await outbox.push();
    expect(there.decided.size).toBe(0);
    expect([...outbox.others.value]).toEqual([[marco, 1]]);
    outbox.belongsTo(marco);
    await outbox.push();
    expect(there.decided.size).toBe(1);
  });
});

describe.each([
  ['the database', async () => dbKeep(await opened(newName()))],
  ['memory', async () => memoryKeep()],
])("a job's log in %s", (_, make) => {
  const stretch = (first: number, last: number, text = 'x') => ({
    person_id: marco,
    job_id: job,
    first_seq: first,
    last_seq: last,
    entries: JSON.stringify(
      Array.from({ length: last - first + 1 }, (__, at) => ({ seq: first + at, text })),
    ),
  });

  it('goes on without a hole, joins small stretches, and is read from a number on', async () => {
    const keep = await make();
    await keep.addLog(stretch(1, 3));
    await keep.addLog(stretch(4, 4));
    await keep.addLog(stretch(9, 9)); // not the next
    await keep.addLog(stretch(3, 6)); // half of it is there
    const log = await keep.log(marco, job, 0);
    expect(log).toHaveLength(1);
    expect(
      log.flatMap(({ entries }) =>
        (JSON.parse(entries) as { seq: number }[]).map(({ seq }) => seq),
      ),
    ).toEqual([1, 2, 3, 4, 5, 6]);
    await keep.addLog(stretch(7, 8, 'y'.repeat(60_000)));
    expect((await keep.log(marco, job, 0)).map(({ first_seq }) => first_seq)).toEqual([1, 7]);
    expect((await keep.log(marco, job, 6)).map(({ first_seq }) => first_seq)).toEqual([7]);
    expect(await keep.log('tess', job, 0)).toEqual([]);
  });

  it('is forgotten with its job, and a person with all of theirs', async () => {
    const keep = await make();
    await keep.addLog(stretch(1, 1));
    await keep.setState({ person_id: marco, job_id: job, seq: 1, state: '{}' });
    expect(await keep.jobs(marco)).toEqual([job]);
    await keep.forgetJob(marco, job);
    expect(await keep.state(marco, job)).toBeUndefined();
    expect(await keep.log(marco, job, 0)).toEqual([]);
    await keep.setState({ person_id: marco, job_id: job, seq: 1, state: '{}' });
    await keep.forgetPerson(marco);
    expect(await keep.jobs(marco)).toEqual([]);
  });
});

it('a log may begin where the state ends, and what is before is added later', async () => {
  const keep = memoryKeep();
  const row = (seq: number) => ({
    person_id: marco,
    job_id: job,
    first_seq: seq,
    last_seq: seq,
    entries: `[{"seq":${seq}}]`,
  });
  expect(follow(undefined, row(7))).toEqual(row(7));
  await keep.addLog(row(7));
  await keep.addOlderLog(row(1));
  await keep.addLog(row(8));
  expect((await keep.log(marco, job, 0)).map(({ last_seq }) => last_seq)).toEqual([1, 8]);
});

describe('what was turned back while the database took nothing', () => {
  it('is there once, can be put away for good, and is carried over at the next start', async () => {
    localStorage.clear();
    const name = newName();
    const db = await opened(name);
    const shelf = await openShelf(db, localStorage);
    const row = (text: string) => {
      const { said, ...rest } = note(text);
      const back = { said, findings: [], at: rest.command.at, by: 'log', away: false } as const;
      return { ...rest, ...back };
    };
    const [one, two, three] = [row('one'), row('two'), row('three')];
    await shelf.take({ refused: [three] });
    const full = vi.spyOn(db, 'transaction').mockImplementation(() => {
      throw new DOMException('full', 'QuotaExceededError');
    });
    await shelf.take({ refused: [one, two, { ...three, away: true }] });
    full.mockRestore();
    await shelf.take({ refused: [{ ...one, away: true }] });
    const away = async (on: Shelf) =>
      (await on.refused(marco)).map(({ said, away }) => [said, away]).sort();
    const all = [
      ['one', true],
      ['three', true],
      ['two', false],
    ];
    expect(await away(shelf)).toEqual(all);
    const next = await openShelf(db, localStorage);
    expect(Object.keys({ ...localStorage })).toEqual([]);
    expect(await away(next)).toEqual(all);
    // Left there by an app from before: what was put away since does not come back.
    localStorage.setItem(`longpoint.refused.${one.id}`, JSON.stringify(one));
    expect(await away(await openShelf(db, localStorage))).toEqual(all);
    // A database that was closed under the page still leaves what lies beside it.
    localStorage.setItem(`longpoint.refused.${two.id}`, JSON.stringify(two));
    db.close();
    expect(await away(next)).toEqual([['two', false]]);
    localStorage.clear();
  });
});

describe('a store that a page asleep does not give up', () => {
  it('is not waited for: what is entered lies in localStorage, and in the store at the next start', async () => {
    const name = newName();
    const asleep = await new Promise<IDBDatabase>((resolve, reject) => {
      const asked = indexedDB.open(name, 1);
      asked.onupgradeneeded = () => asked.result.createObjectStore('outbox', { keyPath: 'id' });
      asked.onsuccess = () => resolve(asked.result);
      asked.onerror = () => reject(asked.error);
    });
    localStorage.clear();
    expect(await openDb(name, 30)).toBeNull();
    const meanwhile = await openShelf(null, localStorage);
    const row = note('taped while it slept');
    await meanwhile.take({ put: [row] });
    asleep.close();
    // What came too late is closed: the store can be taken away under it.
    await vi.waitFor(
      () =>
        new Promise<void>((resolve, reject) => {
          const gone = indexedDB.deleteDatabase(name);
          gone.onsuccess = () => resolve();
          gone.onblocked = () => reject(new Error('a connection is open'));
        }),
    );
    const later = await openShelf(await opened(name), localStorage);
    expect((await later.outbox()).map(({ id }) => id)).toEqual([row.id]);
    expect(Object.keys({ ...localStorage })).toEqual([]);
  });
});
