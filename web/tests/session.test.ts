import { effect } from '@preact/signals';
import { beforeEach, expect, it, vi } from 'vitest';
import type { Me } from '../src/api/views.ts';
import { enter, findSession, leave, session } from '../src/sign-in/session.ts';

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
