import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { door } from '../src/board/door.ts';
import { askOnceSent } from '../src/live/ask-once-sent.ts';
import { outbox } from '../src/live/local.ts';

const job = '018f0000-0000-7000-8000-000000000001';
const asked: string[] = [];
/** Settles what the outbox is waited for. */
let settle: (sent: boolean) => void = () => undefined;

beforeEach(() => {
  asked.length = 0;
  vi.stubGlobal('fetch', async (path: string) => {
    asked.push(path);
    return new Response('{"templates":[]}', { headers: { 'Content-Type': 'application/json' } });
  });
  vi.spyOn(outbox, 'sent').mockImplementation(
    () =>
      new Promise((done) => {
        settle = done;
      }),
  );
});

afterEach(() => {
  vi.unstubAllGlobals();
  vi.restoreAllMocks();
});

/** Whatever is only waiting for its turn has had it. */
const turns = () => new Promise((done) => setTimeout(done));

describe('what the service makes out of the log', () => {
  const sheet = {} as Parameters<typeof door.preview>[1];
  const by = { id: 'one' } as unknown as Parameters<typeof door.take>[1];
  const asks: Record<string, () => Promise<unknown>> = {
    'a schedule looked at': () => door.preview(job, sheet),
    'a schedule taken in': () => door.take(job, by, sheet),
    'a room copied': () => door.copyRoom(job, 'room', by, { name: 'Den', level: 'ground' }),
    'a template made': () =>
      door.keep({ id: 'one', name: 'Den', kind: 'room', job_id: job } as never),
    'a template used': () => door.use(job, 'template', by, { name: 'Den' }),
    'a plan': () => askOnceSent(job, `/jobs/${job}/stock/plan`, { method: 'POST' }),
  };
  for (const [name, ask] of Object.entries(asks)) {
    it(`${name}: asked for when what was done here is in it`, async () => {
      const answer = ask();
      await turns();
      expect(outbox.sent).toHaveBeenCalledWith(job);
      expect(asked).toEqual([]);
      settle(true);
      await answer;
      expect(asked).toHaveLength(1);
    });

    it(`${name}: not asked for when that cannot be sent`, async () => {
      const answer = ask().catch((cause: Error) => cause.name);
      settle(false);
      expect(await answer).toBe('Unreachable');
      expect(asked).toEqual([]);
    });
  }

  it('is given up while it waits', async () => {
    const give = new AbortController();
    const answer = askOnceSent(job, '/jobs', { method: 'POST', signal: give.signal }).catch(
      (cause: Error) => cause.name,
    );
    give.abort();
    expect(await answer).toBe('AbortError');
    settle(true);
    await turns();
    expect(asked).toEqual([]);
  });
});
