import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { ItemView, Me } from '../src/api/views.ts';
import {
  act,
  itemView,
  noSignal,
  outbox,
  pullItem,
  putAway,
  refusals,
  startStore,
  watch,
} from '../src/live/store.ts';
import { session } from '../src/sign-in/session.ts';

const job = '018f0000-0000-7000-8000-000000000001';
const me = { person_id: 'marco', name: 'Marco', role: 'installer', unit: 'in' } as Me;

type Answer = { status?: number; body: unknown } | 'no signal';
let answer: (path: string, init: RequestInit) => Answer;
let count = 0;
let item = '';

const view = (through_seq: number, name = 'Linen closet door') =>
  ({ id: item, job_id: job, through_seq, name }) as ItemView;

beforeEach(() => {
  count += 1;
  item = `018f0000-0000-7000-8000-${String(count).padStart(12, '0')}`;
  answer = () => 'no signal';
  vi.stubGlobal('fetch', async (path: string, init: RequestInit) => {
    if (path === '/api/v1/people') return json({ status: 200, body: { people: [] } });
    const given = answer(path, init);
    if (given === 'no signal') throw new TypeError('Failed to fetch');
    return json(given);
  });
  startStore();
  session.value = { state: 'in', me };
});

afterEach(() => {
  for (const { command } of outbox.waiting.value) outbox.drop(command.id);
  for (const { command } of refusals.value) putAway(command.id);
});

function json({ status = 200, body }: Exclude<Answer, string>): Response {
  return new Response(JSON.stringify(body), {
    status,
    headers: { 'Content-Type': status < 400 ? 'application/json' : 'application/problem+json' },
  });
}

const outcomes = (init: RequestInit, applied: boolean, more: object = {}) => ({
  body: {
    outcomes: (JSON.parse(String(init.body)) as { commands: { id: string }[] }).commands.map(
      ({ id }) => ({
        command_id: id,
        applied,
        ...(applied ? {} : { findings: [{ code: 'x', severity: 'stop', sentence: 'No.' }] }),
      }),
    ),
    seq: 9,
    ...more,
  },
});
const say = () => act('note', { job, item }, { text: 'x' }, { said: 'a note' });

describe('the store', () => {
  it('shows the item as it is after what was done, from the same answer', async () => {
    answer = () => ({ body: view(3) });
    await pullItem(job, item);
    expect(itemView(item).value.view?.through_seq).toBe(3);
    answer = (_, init) => outcomes(init, true, { view: view(9) });
    const outcome = await say();
    expect(outcome?.applied).toBe(true);
    expect(itemView(item).value).toEqual({ view: view(9) });
  });

  it('never goes back to an older view that came late', async () => {
    answer = () => ({ body: view(5, 'newer') });
    await pullItem(job, item);
    answer = () => ({ body: view(4, 'older') });
    await pullItem(job, item);
    expect(itemView(item).value.view?.name).toBe('newer');
  });

  it('keeps the last view without a signal, and says so', async () => {
    answer = () => ({ body: view(5) });
    await pullItem(job, item);
    expect(noSignal.value).toBe(false);
    answer = () => 'no signal';
    await pullItem(job, item);
    expect(itemView(item).value).toEqual({ view: view(5), offline: true });
    expect(noSignal.value).toBe(true);
  });

  it("takes down what is no longer this person's to see", async () => {
    answer = () => ({ body: view(5) });
    await pullItem(job, item);
    answer = () => ({ status: 404, body: { detail: 'There is no such opening.' } });
    await pullItem(job, item);
    expect(itemView(item).value).toEqual({ gone: 'There is no such opening.' });
  });

  it('asks again what a session that has ended was asked, and signs nobody out for it', async () => {
    let asked = 0;
    answer = () => {
      asked += 1;
      return asked === 1 ? { status: 401, body: { detail: 'Sign in.' } } : { body: view(5) };
    };
    await pullItem(job, item);
    expect(itemView(item).value.view?.through_seq).toBe(5);
    expect(session.value.state).toBe('in');
  });

  it('shows what the rules turned back until it is put away', async () => {
    answer = (_, init) => outcomes(init, false);
    const outcome = await say();
    expect(outcome?.applied).toBe(false);
    expect(refusals.value.map(({ findings }) => findings[0]?.sentence)).toEqual(['No.']);
    expect(outbox.waiting.value).toEqual([]);
    putAway(refusals.value[0]?.command.id ?? '');
    expect(refusals.value).toEqual([]);
  });

  it('keeps what was done without a signal on the device, under its own id', async () => {
    expect(await say()).toBeNull();
    const [kept] = outbox.waiting.value;
    expect(kept?.said).toBe('a note');
    expect(localStorage.getItem(`longpoint.outbox.${kept?.command.id}`)).toContain('"a note"');
  });

  it('holds no stream while nobody looks, and is brought up to date when somebody does', async () => {
    const streams: AbortSignal[] = [];
    answer = (path, { signal }) => {
      if (path.endsWith('/events') && signal instanceof AbortSignal) streams.push(signal);
      return 'no signal';
    };
    const look = (state: 'hidden' | 'visible') => {
      vi.spyOn(document, 'visibilityState', 'get').mockReturnValue(state);
      document.dispatchEvent(new Event('visibilitychange'));
    };
    const stop = watch(job, item);
    await vi.waitFor(() => expect(streams).toHaveLength(1));
    look('hidden');
    expect(streams[0]?.aborted).toBe(true);
    const other = watch('018f0000-0000-7000-8000-00000000000b');
    expect(streams).toHaveLength(1);
    look('visible');
    await vi.waitFor(() => expect(streams).toHaveLength(3));
    stop();
    other();
    vi.restoreAllMocks();
  });

  it("sends nobody's work with the session of who signed in on another page", async () => {
    expect(await say()).toBeNull();
    const other = { ...me, person_id: 'ana', name: 'Ana' } as Me;
    const sent: string[] = [];
    answer = (path, init) => {
      if (init.method === 'POST') sent.push(String(init.body));
      return path === '/api/v1/session' ? { body: other } : 'no signal';
    };
    localStorage.setItem('longpoint.me', JSON.stringify(other));
    const beside = new BroadcastChannel('longpoint');
    beside.postMessage('session');
    await vi.waitFor(() => expect(session.value).toEqual({ state: 'in', me: other }));
    beside.close();
    expect(itemView(item).value).toEqual({});
    // Asleep, a page hears nothing: it looks when it is picked up, before anything is sent.
    localStorage.setItem('longpoint.me', JSON.stringify(me));
    session.value = { state: 'in', me };
    localStorage.setItem('longpoint.me', JSON.stringify(other));
    document.dispatchEvent(new Event('visibilitychange'));
    expect(session.value).toEqual({ state: 'in', me: other });
    await outbox.push();
    expect(sent.filter((body) => body.includes('"note"'))).toEqual([]);
    expect(outbox.others.value.get('marco')).toBe(1);
    localStorage.removeItem('longpoint.me');
    session.value = { state: 'in', me };
    await vi.waitFor(() => expect(outbox.waiting.value).toHaveLength(1));
  });

  it('forgets the last person and what they saw when the service asks who this is', async () => {
    answer = () => ({ body: view(5) });
    await pullItem(job, item);
    answer = () => ({ status: 401, body: { detail: 'Sign in first.' } });
    await say();
    expect(session.value.state).toBe('out');
    expect(itemView(item).value).toEqual({});
    // The entry is theirs still, for when they are back.
    answer = () => 'no signal';
    session.value = { state: 'in', me };
    await vi.waitFor(() =>
      expect(outbox.waiting.value.map(({ said }) => said)).toEqual(['a note']),
    );
  });
});
