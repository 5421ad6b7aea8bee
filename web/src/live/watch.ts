import { signal } from '@preact/signals';
import { api } from '../api/client.ts';
import { lookForRoom } from './device.ts';
import { type Following, follow } from './follow.ts';
import { isLocal, outbox, pullItem, pullJob, pullLog, render, replica } from './local.ts';
import {
  heard,
  itemsOnScreen,
  jobCell,
  seqHeard,
  unheard,
  watchedItems,
  watchedJobs,
} from './shown.ts';

/* Keeps what is on the screen current: the service's stream of each job says when there is more. */

const followed = new Map<string, { following: Following; count: number }>();

/** Keeps a job's views current while something of it is on the screen. Returns how to stop. */
export function watch(job: string, item?: string): () => void {
  if (item === undefined) watchedJobs.set(job, (watchedJobs.get(job) ?? 0) + 1);
  else watchedItems.set(item, { job, count: (watchedItems.get(item)?.count ?? 0) + 1 });
  const known = followed.get(job);
  if (known === undefined) {
    followed.set(job, { count: 1, following: begin(job) });
  } else {
    known.count += 1;
  }
  return () => {
    if (item === undefined) {
      const count = (watchedJobs.get(job) ?? 1) - 1;
      if (count === 0) watchedJobs.delete(job);
      else watchedJobs.set(job, count);
    } else {
      const count = (watchedItems.get(item)?.count ?? 1) - 1;
      if (count === 0) watchedItems.delete(item);
      else watchedItems.set(item, { job, count });
    }
    const still = followed.get(job);
    if (still === undefined) return;
    still.count -= 1;
    if (still.count > 0) return;
    still.following.stop();
    followed.delete(job);
  };
}

/** The mark of each job's saw plan as it was heard; without a stream another at each question. */
export const plans = signal<Readonly<Record<string, unknown>>>({});

/** A page that nobody looks at holds no stream: it is brought up to date when it is picked up. */
const unfollowed: Following = { stop: () => undefined };

function begin(job: string): Following {
  if (document.visibilityState === 'hidden') return unfollowed;
  const planned = (mark: unknown) => {
    plans.value = { ...plans.value, [job]: mark };
  };
  const took = (seq: number, stock?: unknown) => {
    outboxMayPass();
    if (stock) planned(stock);
    if (isLocal(job) ? seq > replica.seq(job) : heard(job, seq)) refresh(job);
  };
  return follow(job, {
    onSeq: took,
    pull: async () => {
      if (isLocal(job)) {
        await pullLog(job);
        if (!unheard.value) outboxMayPass();
      } else {
        took((await api.entries(job, seqHeard(job), 1)).seq);
      }
      planned(Date.now());
    },
  });
}

/** Everything of a job that is on the screen is brought up to date. */
export function refresh(job: string): void {
  if (isLocal(job)) {
    void pullLog(job);
    return;
  }
  if (jobCell(job).value.view !== undefined) void pullJob(job);
  for (const item of itemsOnScreen(job)) void pullItem(job, item);
}

/** The service was heard: what waits may go. */
function outboxMayPass(): void {
  if (outbox.cutOff.value && !outbox.sending.value) void outbox.push();
}

/** Nobody looks: nothing is followed until the phone is picked up. */
export function rest(): void {
  for (const { following } of followed.values()) following.stop();
}

/** What is on the screen is made again: time has passed, or the right time is known. */
export function renderAll(): void {
  for (const job of followed.keys()) if (isLocal(job)) void render(job, null);
}

/** The phone was pocketed, or out of signal: everything on the screen may be behind. */
export function wake(): void {
  void outbox.askAgain();
  void lookForRoom();
  for (const [job, { count }] of followed) {
    followed.get(job)?.following.stop();
    followed.set(job, { count, following: begin(job) });
    // Paint has dried meanwhile, signal or not.
    if (isLocal(job)) void render(job, null);
    refresh(job);
  }
}
