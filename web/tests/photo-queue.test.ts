import { afterEach, describe, expect, test, vi } from 'vitest';
import { Refusal, Unreachable } from '../src/api/refusal.ts';
import { type Door, door as realDoor } from '../src/photos/door.ts';
import type { Kept, KeptPhoto } from '../src/photos/kept.ts';
import { makeQueue } from '../src/photos/queue.ts';

const rosa = '018f0000-0000-7000-8000-00000000aaaa';
const ivan = '018f0000-0000-7000-8000-00000000bbbb';
const size = 1000;

function photo(n: number, more: Partial<KeptPhoto> = {}): KeptPhoto {
  return {
    photo_id: `018f0000-0000-7000-8000-${String(n).padStart(12, '0')}`,
    person_id: rosa,
    job_id: 'job',
    item_id: 'item',
    jpeg: new Uint8Array(size).fill(n).buffer,
    sha256: '0a'.repeat(32),
    width: 4,
    height: 3,
    taken_at: '2026-03-09T08:00:00Z',
    state: 'waiting',
    ...more,
  };
}

/** A device's storage that outlives the page, and can be full. */
function storage() {
  const rows = new Map<string, KeptPhoto>();
  let room = Number.POSITIVE_INFINITY;
  const kept: Kept = {
    all: async () => [...rows.values()],
    async put(row) {
      if (!rows.has(row.photo_id) && rows.size >= room) {
        throw new DOMException('full', 'QuotaExceededError');
      }
      rows.set(row.photo_id, row);
    },
    async remove(ids) {
      for (const id of ids) rows.delete(id);
    },
  };
  return { kept, rows, holds: (n: number) => (room = n) };
}

/** A service that has what it was sent, and fails as it is told to. */
function service() {
  const has = new Map<string, number>();
  const fails: unknown[] = [];
  const sent: [string, number][] = [];
  const fail = () => {
    const cause = fails.shift();
    if (cause !== undefined && cause !== null) throw cause;
  };
  const door: Door = {
    async offset({ photo_id }) {
      fail();
      return has.get(photo_id) ?? 0;
    },
    async send(row, from) {
      fail();
      sent.push([row.photo_id, from]);
      const to = Math.min(row.jpeg.byteLength, from + 400);
      has.set(row.photo_id, to);
      return to;
    },
  };
  return { door, has, fails, sent };
}

function setup(kept = storage(), world = service()) {
  const timers: { ms: number; then: () => void }[] = [];
  const done: string[] = [];
  let signedOut = 0;
  const queue = makeQueue({
    kept: Promise.resolve(kept.kept),
    door: world.door,
    wait: (ms, then) => {
      const timer = { ms, then };
      timers.push(timer);
      return () => timers.splice(timers.indexOf(timer), 1);
    },
    chance: () => 0,
    onSent: ({ photo_id }) => done.push(photo_id),
    onSignedOut: () => {
      signedOut += 1;
    },
  });
  queue.belongsTo(rosa);
  return { queue, kept, world, timers, done, signedOut: () => signedOut };
}

const states = (queue: ReturnType<typeof makeQueue>) =>
  queue.photos.value.map(({ state }) => state);

describe('the queue of photos', () => {
  test('a photo is on the disk before it is sent, and is sent in parts', async () => {
    const { queue, kept, world, done } = setup();
    await queue.put(photo(1));
    expect(kept.rows.get(photo(1).photo_id)?.state).toBeDefined();
    await queue.push();
    expect(world.sent.map(([, from]) => from)).toEqual([0, 400, 800]);
    expect(queue.arrived.value.get(photo(1).photo_id)).toBe(size);
    expect(states(queue)).toEqual(['sent']);
    expect(kept.rows.get(photo(1).photo_id)?.state).toBe('sent');
    expect(done).toEqual([photo(1).photo_id]);
  });

  test('a draft is kept and not sent', async () => {
    const { queue, world, kept } = setup();
    await queue.put(photo(1, { state: 'draft' }));
    await queue.push();
    expect(world.sent).toEqual([]);
    expect(kept.rows.size).toBe(1);
  });

  test('without a signal it waits, ever longer, and goes on from what arrived', async () => {
    const { queue, world, timers } = setup();
    await queue.ready;
    world.fails.push(null, null, new Unreachable('no answer')); // the offset, one part, then nothing
    await queue.put(photo(1));
    await queue.push();
    expect(queue.cutOff.value).toBe(true);
    expect(states(queue)).toEqual(['waiting']);
    expect(world.has.get(photo(1).photo_id)).toBe(400);
    const waits: number[] = [];
    for (let n = 0; n < 8; n += 1) {
      world.fails.push(new Unreachable('no answer'));
      waits.push(timers[0]?.ms ?? Number.NaN);
      timers.shift()?.then();
      await queue.push();
    }
    expect(waits.slice(0, 3)).toEqual([1000, 2000, 4000]);
    expect(waits.at(-1)).toBe(60_000);
    expect(timers).toHaveLength(1);
    timers.shift()?.then();
    await queue.push();
    expect(queue.cutOff.value).toBe(false);
    expect(world.sent.map(([, from]) => from)).toEqual([0, 400, 800]);
    expect(states(queue)).toEqual(['sent']);
  });

  test('after the page was killed the next page goes on', async () => {
    const first = setup();
    await first.queue.ready;
    first.world.fails.push(null, null, new Unreachable('gone'));
    await first.queue.put(photo(1));
    await first.queue.push();
    const second = setup(first.kept, first.world);
    await second.queue.push();
    expect(first.world.sent.map(([, from]) => from)).toEqual([0, 400, 800]);
    expect(states(second.queue)).toEqual(['sent']);
  });

  test('one that the log does not have yet does not hold up the others', async () => {
    const { queue, world, timers } = setup();
    await queue.put(photo(1, { state: 'draft' }));
    await queue.put(photo(2, { state: 'draft' }));
    world.fails.push(new Refusal(404, ''));
    await queue.put(photo(1));
    await queue.put(photo(2));
    await queue.push();
    expect(states(queue)).toEqual(['waiting', 'sent']);
    timers.shift()?.then();
    await queue.push();
    expect(states(queue)).toEqual(['sent', 'sent']);
  });

  test('what is no photo is refused in words and not sent again', async () => {
    const { queue, world, kept } = setup();
    await queue.ready;
    // The last part is refused; asked again, the service says that there is no more to be done.
    world.fails.push(null, null, null, new Refusal(422, 'It is damaged.'), new Refusal(410, ''));
    await queue.put(photo(1));
    await queue.push();
    expect(states(queue)).toEqual(['refused']);
    expect(kept.rows.get(photo(1).photo_id)?.sentence).toBe('It is damaged.');
    const before = world.sent.length;
    await queue.push();
    expect(world.sent).toHaveLength(before);
  });

  test('what changed on the way begins again, and not for ever', async () => {
    const { queue, world } = setup();
    await queue.ready;
    const changed = new Refusal(422, 'It has to be sent again.');
    for (let n = 0; n < 10; n += 1) world.fails.push(null, changed);
    await queue.put(photo(1));
    await queue.push();
    expect(states(queue)).toEqual(['refused']);
    expect(world.fails.length).toBe(20 - 8); // the first try and three more
  });

  test('a full storage lets go of what was sent, else says that the photo is only here', async () => {
    const kept = storage();
    const { queue } = setup(kept);
    await queue.put(photo(1));
    await queue.push();
    kept.holds(1);
    await queue.put(photo(2, { state: 'draft' }));
    expect(queue.photos.value.map(({ photo_id }) => photo_id)).toEqual([photo(2).photo_id]);
    expect([...queue.onlyHere.value]).toEqual([]);
    await queue.put(photo(3, { state: 'draft' }));
    expect([...queue.onlyHere.value]).toEqual([photo(3).photo_id]);
    expect(queue.photos.value).toHaveLength(2); // nothing was lost
    kept.holds(2);
    await queue.put(photo(3, { state: 'draft' }));
    expect([...queue.onlyHere.value]).toEqual([]);
  });

  test('forty sent photos stay to be looked at', async () => {
    const { queue, kept } = setup();
    for (let n = 1; n <= 43; n += 1) await queue.put(photo(n));
    await queue.push();
    await queue.push();
    expect(kept.rows.size).toBe(40);
    expect(kept.rows.has(photo(3).photo_id)).toBe(false);
    expect(kept.rows.has(photo(4).photo_id)).toBe(true);
  });

  test("nobody's photos go out under another's name", async () => {
    const { queue, world } = setup();
    await queue.put(photo(1, { state: 'draft' }));
    queue.belongsTo(ivan);
    await queue.put(photo(1));
    await queue.push();
    expect(queue.photos.value).toEqual([]);
    expect(world.sent).toEqual([]);
    queue.belongsTo(rosa);
    await queue.push();
    expect(states(queue)).toEqual(['sent']);
  });

  test("a lost phone's photo waits for the lead's word and holds up no other", async () => {
    const { queue, world, kept, timers } = setup();
    await queue.put(photo(1, { state: 'draft' }));
    await queue.put(photo(2, { state: 'draft' }));
    world.fails.push(new Refusal(403, ''));
    await queue.put(photo(1));
    await queue.put(photo(2));
    await queue.push();
    expect(states(queue)).toEqual(['waiting', 'sent']);
    // Far more often than anything else is tried before it counts as refused.
    for (let n = 0; n < 8; n += 1) {
      world.fails.push(new Refusal(403, 'This phone was signed out as lost.'));
      timers.shift()?.then();
      await queue.push();
    }
    expect(kept.rows.get(photo(1).photo_id)).toEqual(photo(1));
    timers.shift()?.then();
    await queue.push();
    expect(states(queue)).toEqual(['sent', 'sent']);
  });

  test('who signs out leaves no photo that the service has, and every one that it has not', async () => {
    const { queue, kept, world } = setup();
    await queue.put(photo(1));
    await queue.put(photo(2, { state: 'draft' }));
    await queue.put(photo(3, { state: 'refused' }));
    await queue.put(photo(4, { person_id: ivan, state: 'sent' }));
    await queue.push();
    world.fails.push(new Refusal(404, ''));
    await queue.put(photo(5));
    await queue.push();
    queue.belongsTo(null);
    await queue.forgetSent(rosa);
    expect([...kept.rows.values()].map(({ photo_id, state }) => [photo_id, state])).toEqual([
      [photo(2).photo_id, 'draft'],
      [photo(3).photo_id, 'refused'],
      [photo(4).photo_id, 'sent'],
      [photo(5).photo_id, 'waiting'],
    ]);
  });

  test('a photo on its way while its person signs out goes once it has arrived', async () => {
    const { queue, kept, world } = setup();
    await queue.ready;
    let arrives = () => {};
    const { send } = world.door;
    world.door.send = async (row, from) => {
      if (from === 800) await new Promise<void>((then) => (arrives = then));
      return send(row, from);
    };
    await queue.put(photo(1));
    await vi.waitFor(() => expect(world.sent).toHaveLength(2));
    queue.belongsTo(null);
    const gone = queue.forgetSent(rosa);
    arrives();
    await gone;
    expect(world.sent).toHaveLength(3);
    expect([...kept.rows.keys()]).toEqual([]);
  });

  test('signed out, it stops and says so', async () => {
    const made = setup();
    await made.queue.ready;
    made.world.fails.push(new Refusal(401, 'Sign in first.'));
    await made.queue.put(photo(1));
    await made.queue.push();
    expect(made.signedOut()).toBe(1);
    expect(made.timers).toEqual([]);
    expect(states(made.queue)).toEqual(['waiting']);
  });
});

describe('the door', () => {
  afterEach(() => vi.unstubAllGlobals());

  test('speaks the core of tus 1.0.0', async () => {
    const asked: [string, RequestInit][] = [];
    vi.stubGlobal('fetch', async (path: string, init: RequestInit) => {
      asked.push([path, init]);
      return new Response(null, { status: 204, headers: { 'Upload-Offset': '1000' } });
    });
    expect(await realDoor.send(photo(7), 400)).toBe(1000);
    const [path, init] = asked[0] ?? ['', {}];
    expect(path).toBe(`/api/v1/jobs/job/uploads/${photo(7).photo_id}`);
    expect(init.method).toBe('PATCH');
    expect(init.headers).toMatchObject({
      'Tus-Resumable': '1.0.0',
      'Upload-Offset': '400',
      'Content-Type': 'application/offset+octet-stream',
    });
    expect((init.body as ArrayBuffer).byteLength).toBe(600);
  });

  test('takes a page of somebody else for no signal', async () => {
    vi.stubGlobal('fetch', async () => new Response('<html>Sign in to the café', { status: 200 }));
    await expect(realDoor.offset(photo(7))).rejects.toBeInstanceOf(Unreachable);
    vi.stubGlobal('fetch', async () => new Response('<html>', { status: 502 }));
    await expect(realDoor.offset(photo(7))).rejects.toBeInstanceOf(Unreachable);
  });
});
