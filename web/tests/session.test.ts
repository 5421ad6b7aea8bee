import { effect } from '@preact/signals';
import { beforeEach, expect, it, vi } from 'vitest';
import { Refusal } from '../src/api/refusal.ts';
import type { Me } from '../src/api/views.ts';
import { enter, findSession, leave, makeWay, session } from '../src/sign-in/session.ts';

const asMe = vi.hoisted(() => vi.fn());
vi.mock('../src/api/client.ts', () => ({ api: { me: asMe, signOut: vi.fn() } }));

const marco = { person_id: 'marco', name: 'Marco', role: 'installer', language: 'en' } as Me;

beforeEach(() => {
  leave();
  session.value = { state: 'asking' };
});

function drawings() {
  const seen: string[] = [];
  const stop = effect(() => {
    const now = session.value;
    seen.push(now.state === 'in' ? now.me.name : now.state);
  });
  return { seen, stop };
}

it('who is known here is in at once, and not drawn anew when the service says the same', async () => {
  enter(marco);
  session.value = { state: 'asking' };
  asMe.mockResolvedValue(structuredClone(marco));
  const { seen, stop } = drawings();
  await findSession();
  stop();
  expect(seen).toEqual(['asking', 'Marco']);
});

it('what the service says otherwise stands, and is known at the next start', async () => {
  enter(marco);
  session.value = { state: 'asking' };
  asMe.mockResolvedValue({ ...marco, name: 'Marco D.' });
  const { seen, stop } = drawings();
  await findSession();
  stop();
  expect(seen).toEqual(['asking', 'Marco', 'Marco D.']);

  session.value = { state: 'asking' };
  asMe.mockRejectedValue(new Error('no signal'));
  await findSession();
  expect(session.value).toEqual({ state: 'in', me: { ...marco, name: 'Marco D.' } });
});

const ana = { person_id: 'ana', name: 'Ana', role: 'lead', language: 'en' } as Me;

/** What another page of this browser does: it leaves its word in the storage they share. */
const besideIs = (who: Me | null) =>
  who === null
    ? localStorage.removeItem('longpoint.me')
    : localStorage.setItem('longpoint.me', JSON.stringify(who));

it('makes way, by nobody, for who signed in on another page, and follows one that signed out', async () => {
  enter(marco);
  besideIs(ana);
  asMe.mockResolvedValue(structuredClone(ana));
  const { seen, stop } = drawings();
  makeWay();
  await vi.waitFor(() => expect(session.value).toEqual({ state: 'in', me: ana }));
  makeWay();
  besideIs(null);
  asMe.mockRejectedValue(new Refusal(401, 'Sign in first.'));
  makeWay();
  await vi.waitFor(() => expect(session.value).toEqual({ state: 'out' }));
  stop();
  expect(seen).toEqual(['Marco', 'out', 'asking', 'Ana', 'out', 'asking', 'out']);
});

it('takes nobody away who signed in on another page when its own session has ended', async () => {
  enter(marco);
  besideIs(ana);
  asMe.mockResolvedValue(structuredClone(ana));
  leave();
  await vi.waitFor(() => expect(session.value).toEqual({ state: 'in', me: ana }));
  expect(localStorage.getItem('longpoint.me')).toContain('"ana"');
});

it('tells the other pages who came and that they went', async () => {
  const beside = new BroadcastChannel('longpoint');
  const heard = vi.fn();
  beside.onmessage = ({ data }) => heard(data);
  enter(marco);
  await vi.waitFor(() => expect(heard.mock.calls).toEqual([['session']]));
  leave();
  await vi.waitFor(() => expect(heard.mock.calls).toEqual([['session'], ['session']]));
  beside.close();
});
