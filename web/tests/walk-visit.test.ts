import { beforeEach, describe, expect, test, vi } from 'vitest';
import type { Command } from '../src/api/views.ts';
import { readPlace } from '../src/walk/place.ts';

const door = vi.hoisted(() => ({ enter: vi.fn(), page: vi.fn(), say: vi.fn() }));
vi.mock('../src/walk/door.ts', () => door);

const remark = (id: string): Command => ({
  id,
  v: 1,
  kind: 'say_remark',
  job_id: 'job',
  walk_id: 'walk',
  at: '2026-11-25T10:00:00Z',
  say_remark: { about: 'dent', text: `remark ${id}` },
});

const page = { language: 'en', view: { id: 'walk', job_id: 'job', rooms: [] } };

/** The visit afresh, as a page that was just opened. */
async function visit() {
  vi.resetModules();
  return await import('../src/walk/visit.ts');
}

// Of the same load of the modules as the visit, or it would not know them.
const unreachable = async (why: string) =>
  new (await import('../src/api/refusal.ts')).Unreachable(why);
const refused = async (status: number) =>
  new (await import('../src/api/refusal.ts')).Refusal(status, `No: ${status}.`);
const ended = async () =>
  new (await import('../src/api/refusal.ts')).Refusal(401, 'This link has ended.');

beforeEach(() => {
  localStorage.clear();
  for (const each of Object.values(door)) each.mockReset();
  door.enter.mockResolvedValue({ key: 'key' });
  door.page.mockResolvedValue(page);
  door.say.mockImplementation((_key, _language, commands: Command[]) =>
    Promise.resolve({ outcomes: commands.map(({ id }) => ({ command_id: id, applied: true })) }),
  );
});

describe('a homeowner’s visit', () => {
  test('what was said without a signal is there after the page is opened again, and goes once', async () => {
    const first = await visit();
    await first.open('secret');
    expect(first.doing.value.state).toBe('in');
    door.say.mockRejectedValue(await unreachable('no signal'));
    first.act(remark('a'));
    first.act(remark('b'));
    await first.look();
    expect(first.cutOff.value).toBe(true);
    expect(first.unsent.value.map(({ id }) => id)).toEqual(['a', 'b']);

    door.say.mockReset();
    door.say.mockResolvedValue({
      outcomes: [
        { command_id: 'a', applied: true },
        { command_id: 'b', applied: true },
      ],
    });
    const again = await visit();
    await again.open('');
    expect(
      door.say.mock.calls.map(([, , sent]) => (sent as Command[]).map(({ id }) => id)),
    ).toEqual([['a', 'b']]);
    expect(again.unsent.value).toEqual([]);
    expect(localStorage.getItem('longpoint.walk.unsent')).toBe('[]');
  });

  test('what was taken stays in sight until the page that has it is here', async () => {
    const now = await visit();
    await now.open('secret');
    door.page.mockRejectedValue(await unreachable('dropped between the two'));
    now.act(remark('a'));
    await now.look();
    expect(now.unsent.value.map(({ id }) => id)).toEqual(['a']);
    door.page.mockResolvedValue(page);
    await now.look();
    expect(now.unsent.value).toEqual([]);
  });

  test('what is refused is said, once, with its words', async () => {
    const now = await visit();
    await now.open('secret');
    door.say.mockResolvedValue({
      outcomes: [
        {
          command_id: 'a',
          applied: false,
          findings: [{ sentence: 'It is over.', remedy: 'Call.' }],
        },
      ],
    });
    now.act(remark('a'));
    await now.look();
    await now.look();
    expect(now.turnedBack.value.map(({ why }) => why)).toEqual(['It is over. Call.']);
    expect(now.unsent.value).toEqual([]);
  });

  test('a link that has ended says so, and keeps what was not sent', async () => {
    const now = await visit();
    await now.open('secret');
    door.say.mockRejectedValue(await ended());
    now.act(remark('a'));
    await now.look();
    expect(now.doing.value).toEqual({ state: 'closed', why: 'This link has ended.' });
    expect(JSON.parse(localStorage.getItem('longpoint.walk.unsent') ?? '[]')).toHaveLength(1);
  });

  test('what is refused is still said after the page is opened again, until it is read', async () => {
    const now = await visit();
    await now.open('secret');
    door.say.mockResolvedValue({
      outcomes: [{ command_id: 'a', applied: false, findings: [{ sentence: 'It is over.' }] }],
    });
    now.act(remark('a'));
    await now.look();
    const again = await visit();
    await again.open('');
    expect(again.turnedBack.value.map(({ command }) => command.say_remark?.text)).toEqual([
      'remark a',
    ]);
    expect(again.turnedBack.value[0]?.why).toBe('It is over.');
    again.wasRead(remark('a'));
    const later = await visit();
    await later.open('');
    expect(later.turnedBack.value).toEqual([]);
  });

  test('a busy service is no wrong passphrase: the link is tried again with the next look', async () => {
    const now = await visit();
    for (const status of [503, 500, 429]) {
      door.enter.mockRejectedValue(await refused(status));
      await (status === 503 ? now.open('secret') : now.look());
      expect(now.doing.value, `${status}`).toEqual({ state: 'no signal' });
    }
    door.enter.mockResolvedValue({ key: 'key' });
    await now.look();
    expect(now.doing.value.state).toBe('in');
  });

  test('a passphrase is asked for once, and what is said of the one written stands by it', async () => {
    const now = await visit();
    door.enter.mockResolvedValue({});
    await now.open('secret');
    expect(now.doing.value).toEqual({ state: 'passphrase' });
    await now.look();
    expect(door.enter).toHaveBeenCalledTimes(1);
    for (const status of [401, 429]) {
      door.enter.mockRejectedValue(await refused(status));
      await now.knock('maple');
      expect(now.doing.value).toEqual({ state: 'passphrase', refused: `No: ${status}.` });
    }
  });

  test('another link begins anew; what the last had not sent goes with a new link to the same walk', async () => {
    const now = await visit();
    await now.open('secret');
    door.say.mockRejectedValue(await unreachable('no signal'));
    now.act(remark('a'));
    await now.look();

    const stranger = await visit();
    door.page.mockResolvedValue({ ...page, view: { ...page.view, id: 'another walk' } });
    await stranger.open('another');
    expect(door.enter.mock.lastCall).toEqual(['another', '']);
    expect(stranger.unsent.value).toEqual([]);

    const renewed = await visit();
    door.page.mockResolvedValue(page);
    door.say.mockResolvedValue({ outcomes: [{ command_id: 'a', applied: true }] });
    await renewed.open('renewed');
    await vi.waitFor(() => expect(renewed.unsent.value).toEqual([]));
    const sent: readonly Command[] = door.say.mock.lastCall?.[2] ?? [];
    expect(sent.map(({ id }) => id)).toEqual(['a']);
  });
});

test('places lie behind the #', () => {
  expect(readPlace('#/say/r1/i1')).toEqual({ at: 'say', room: 'r1', item: 'i1' });
  expect(readPlace('#/say/r1/')).toEqual({ at: 'say', room: 'r1', item: null });
  expect(readPlace('#/sign/')).toEqual({ at: 'sign', room: null });
  expect(readPlace('#/remark/x')).toEqual({ at: 'remark', id: 'x' });
  expect(readPlace('#/nowhere')).toEqual({ at: 'rooms' });
});
