import { type ReadonlySignal, signal } from '@preact/signals';
import { Refusal, Unreachable } from '../api/refusal.ts';
import type { Door } from './door.ts';
import type { Kept, KeptPhoto } from './kept.ts';

export interface Queue {
  /** The photos of this person on this device, the oldest first. */
  readonly photos: ReadonlySignal<readonly KeptPhoto[]>;
  /** Bytes of a photo that the service has, as far as known. */
  readonly arrived: ReadonlySignal<ReadonlyMap<string, number>>;
  /** Ids of photos that the storage would not take: they last as long as the page. */
  readonly onlyHere: ReadonlySignal<ReadonlySet<string>>;
  /** True after a try found no service, until one finds it. */
  readonly cutOff: ReadonlySignal<boolean>;
  /** Keeps a photo, then sends what is to be sent. */
  put(photo: KeptPhoto): Promise<void>;
  remove(id: string): Promise<void>;
  /** Lets go of what the service has of a person's photos; what it has not stays. */
  forgetSent(person: string): Promise<void>;
  /** Sends what may be sent now. */
  push(): Promise<void>;
  /** Whose photos to show and send; null none. */
  belongsTo(person: string | null): void;
  /** Kept when everything on the device has been read. */
  readonly ready: Promise<void>;
}

export interface QueueConfig {
  readonly kept: Promise<Kept>;
  readonly door: Door;
  /** One tab sends at a time. */
  readonly alone?: (work: () => Promise<void>) => Promise<void>;
  readonly onSent?: (photo: KeptPhoto) => void;
  readonly onSignedOut?: () => void;
  readonly wait?: (ms: number, then: () => void) => () => void;
  readonly chance?: () => number;
}

const firstWait = 2_000;
const longestWait = 120_000;
/** Sent photos kept to be looked at without a signal. */
const sentMost = 40;
/** What arrived was not what is here: so often it is sent again before the person is told. */
const restartsMost = 3;

/** Photos between the camera and the service. What is here leaves only when the service has it. */
export function makeQueue(config: QueueConfig): Queue {
  const wait = config.wait ?? later;
  const chance = config.chance ?? Math.random;
  const alone = config.alone ?? ((work) => work());
  const all = signal<readonly KeptPhoto[]>([]);
  const mine = signal<readonly KeptPhoto[]>([]);
  const arrived = signal<ReadonlyMap<string, number>>(new Map());
  const onlyHere = signal<ReadonlySet<string>>(new Set());
  const cutOff = signal(false);
  const restarts = new Map<string, number>();
  let person: string | null = null;
  let again: (() => void) | null = null;
  let tries = 0;
  let running: Promise<void> | null = null;

  const show = (photos: readonly KeptPhoto[]) => {
    all.value = photos;
    mine.value = photos.filter((photo) => photo.person_id === person);
  };

  const ready = config.kept
    .then((kept) => kept.all())
    .then((read) => {
      const known = new Set(all.value.map(({ photo_id }) => photo_id));
      show(inOrder([...read.filter(({ photo_id }) => !known.has(photo_id)), ...all.value]));
    })
    .catch(() => undefined);

  const replace = (photo: KeptPhoto) => {
    const others = all.value.filter(({ photo_id }) => photo_id !== photo.photo_id);
    show(inOrder([...others, photo]));
  };

  const mark = (id: string, here: boolean) => {
    if (onlyHere.value.has(id) === here) return;
    const next = new Set(onlyHere.value);
    if (here) next.add(id);
    else next.delete(id);
    onlyHere.value = next;
  };

  /** Writes it down; when the storage is full, lets go of what the service has and tries once more. */
  const store = async (photo: KeptPhoto) => {
    replace(photo);
    try {
      const kept = await config.kept;
      try {
        await kept.put(photo);
      } catch {
        await forget(0);
        await kept.put(photo);
      }
      mark(photo.photo_id, false);
    } catch {
      mark(photo.photo_id, true);
    }
  };

  /** Lets go of the oldest photos that the service has, but for so many. */
  const forget = async (keep: number, of = (_: KeptPhoto) => true) => {
    const sent = all.value.filter((photo) => photo.state === 'sent' && of(photo));
    const ids = sent.slice(0, Math.max(0, sent.length - keep)).map(({ photo_id }) => photo_id);
    if (ids.length === 0) return;
    show(all.value.filter(({ photo_id }) => !ids.includes(photo_id)));
    await (await config.kept).remove(ids);
  };

  const retryLater = (asked: number | null) => {
    again?.();
    const most = Math.min(firstWait * 2 ** tries, longestWait);
    tries += 1;
    // Half fixed, half chance: a crew whose signal comes back together does not all call at once.
    const pause = asked === null ? most / 2 + (most / 2) * chance() : asked * 1000;
    again = wait(pause, () => {
      again = null;
      void push();
    });
  };

  const count = (id: string, bytes: number) => {
    arrived.value = new Map(arrived.value).set(id, bytes);
  };

  /** Sends one photo to its end. Answers whether the next may be tried now. */
  const sendOne = async (photo: KeptPhoto): Promise<'next' | 'later'> => {
    const size = photo.jpeg.byteLength;
    try {
      let at = await config.door.offset(photo);
      cutOff.value = false;
      count(photo.photo_id, at);
      while (at < size) {
        at = await config.door.send(photo, at);
        tries = 0;
        count(photo.photo_id, at);
      }
      await store({ ...photo, state: 'sent' });
      await forget(sentMost).catch(() => undefined);
      config.onSent?.(photo);
      return 'next';
    } catch (cause) {
      return stumble(photo, cause);
    }
  };

  const stumble = async (photo: KeptPhoto, cause: unknown): Promise<'next' | 'later'> => {
    if (!(cause instanceof Refusal)) {
      cutOff.value = cause instanceof Unreachable;
      retryLater(null);
      return 'later';
    }
    cutOff.value = false;
    if (cause.status === 401) {
      config.onSignedOut?.();
      return 'later';
    }
    // The log does not have it yet, a lead has still to say that this phone is back, or another part
    // was quicker: the others may go first.
    if ([403, 404, 409].includes(cause.status) || cause.passing) {
      retryLater(cause.retryAfter);
      return cause.passing ? 'later' : 'next';
    }
    const times = (restarts.get(photo.photo_id) ?? 0) + 1;
    restarts.set(photo.photo_id, times);
    if (cause.status === 410 || times > restartsMost) {
      const sentence = cause.sentence === '' ? (photo.sentence ?? '') : cause.sentence;
      await store({ ...photo, state: 'refused', sentence });
      return 'next';
    }
    // Not taken as it came. Asking how far it is says whether it begins again or is refused; the
    // sentence is kept, for that answer has none.
    if (cause.sentence !== '') await store({ ...photo, sentence: cause.sentence });
    return sendOne({ ...photo, ...(cause.sentence === '' ? {} : { sentence: cause.sentence }) });
  };

  const run = async () => {
    again?.();
    again = null;
    await ready;
    const seen = new Set<string>();
    for (;;) {
      const next = mine.value.find(
        ({ state, photo_id }) => state === 'waiting' && !seen.has(photo_id),
      );
      if (next === undefined) return;
      seen.add(next.photo_id);
      if ((await sendOne(next)) === 'later') return;
    }
  };

  const push = (): Promise<void> => {
    running ??= alone(run).finally(() => {
      running = null;
    });
    return running;
  };

  return {
    photos: mine,
    arrived,
    onlyHere,
    cutOff,
    ready,
    async put(photo) {
      await store(photo);
      if (photo.state === 'waiting') void push();
    },
    async remove(id) {
      show(all.value.filter(({ photo_id }) => photo_id !== id));
      mark(id, false);
      await (await config.kept).remove([id]).catch(() => undefined);
    },
    async forgetSent(who) {
      const theirs = ({ person_id }: KeptPhoto) => person_id === who;
      await ready;
      await forget(0, theirs).catch(() => undefined);
      // One that was just on its way is written down as sent a moment later.
      await running;
      await forget(0, theirs).catch(() => undefined);
    },
    push,
    belongsTo(who) {
      person = who;
      show(all.value);
      if (who !== null) void push();
    },
  };
}

/** A UUIDv7 sorts by the moment it was made. */
function inOrder(photos: readonly KeptPhoto[]): readonly KeptPhoto[] {
  return [...photos].sort((a, b) => (a.photo_id < b.photo_id ? -1 : 1));
}

function later(ms: number, then: () => void): () => void {
  const timer = setTimeout(then, ms);
  return () => clearTimeout(timer);
}
