import { afterEach, describe, expect, it, vi } from 'vitest';
import { ask, submit } from '../src/api/client.ts';
import { command } from '../src/api/command.ts';
import { Refusal, Unreachable } from '../src/api/refusal.ts';

const answers = (answer: Response | Error) => {
  const fetched = vi.fn((_: string, __?: RequestInit) =>
    answer instanceof Error ? Promise.reject(answer) : Promise.resolve(answer),
  );
  vi.stubGlobal('fetch', fetched);
  return fetched;
};
const json = (body: unknown, init: ResponseInit = {}) =>
  new Response(JSON.stringify(body), {
    ...init,
    headers: { 'Content-Type': 'application/json', ...init.headers },
  });

afterEach(() => vi.unstubAllGlobals());

describe('the client', () => {
  it('gives what the service answered', async () => {
    answers(json({ jobs: [] }));
    expect(await ask('/jobs')).toEqual({ jobs: [] });
  });

  it("throws the service's own sentence, its fields and how long to wait", async () => {
    answers(
      json(
        {
          title: 'Too Many Requests',
          detail: 'Too many wrong guesses. Wait a minute and try again.',
          errors: [{ where: 'body.sent_at', what: 'expected' }],
        },
        {
          status: 429,
          headers: { 'Content-Type': 'application/problem+json', 'Retry-After': '60' },
        },
      ),
    );
    const refusal = await ask('/session').catch((cause: unknown) => cause);
    expect(refusal).toBeInstanceOf(Refusal);
    const { status, sentence, fields, retryAfter, passing } = refusal as Refusal;
    expect({ status, sentence, fields, retryAfter, passing }).toEqual({
      status: 429,
      sentence: 'Too many wrong guesses. Wait a minute and try again.',
      fields: [{ where: 'body.sent_at', what: 'expected' }],
      retryAfter: 60,
      passing: true,
    });
  });

  it('tells no signal from a no', async () => {
    answers(new TypeError('Failed to fetch'));
    expect(await ask('/jobs').catch((cause: unknown) => cause)).toBeInstanceOf(Unreachable);
  });

  it("takes a proxy's or a café's own page for no signal", async () => {
    for (const status of [200, 502]) {
      answers(
        new Response('<h1>Welcome to the café</h1>', {
          status,
          headers: { 'Content-Type': 'text/html' },
        }),
      );
      expect(await ask('/jobs').catch((cause: unknown) => cause)).toBeInstanceOf(Unreachable);
    }
  });

  it('sends commands with the clock of the sending, and asks for the item they are about', async () => {
    const fetched = answers(json({ outcomes: [], seq: 3 }));
    const made = command('note', { job: 'j', item: 'i' }, { text: 'level' });
    await submit('j', [made], 'marco', 'i');
    const [address, init] = fetched.mock.calls[0] ?? ['', undefined];
    expect(address).toBe('/api/v1/jobs/j/commands?view=i');
    const body = JSON.parse(String(init?.body)) as Record<string, unknown>;
    expect(Object.keys(body)).toEqual(['sent_at', 'person_id', 'commands']);
    expect(body['person_id']).toBe('marco');
    expect(Math.abs(Date.parse(String(body['sent_at'])) - Date.now())).toBeLessThan(5_000);
    expect(body['commands']).toEqual([made]);
    expect(made).toMatchObject({
      v: 1,
      kind: 'note',
      job_id: 'j',
      item_id: 'i',
      note: { text: 'level' },
    });
  });
});
