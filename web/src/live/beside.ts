import type { Signal } from '@preact/signals';
import type { JobView } from '../api/views.ts';
import type { Shown } from './shown.ts';

/*
 * Where the device holds a job and no view of it that may be shown, its rule book is seconds from
 * making one and the service milliseconds. So the service is asked beside it, and what comes first
 * is shown.
 */

/**
 * Shows the service's view until the device's own is there. Not where something waits here: nobody
 * is to see their own work gone, not for seconds either. Nothing is said where there is no signal:
 * the device's own view is on its way.
 */
export async function standIn<T>(
  shown: Signal<Shown<T>>,
  asked: Promise<T>,
  waits: () => boolean,
): Promise<void> {
  const view = await asked.catch(() => undefined);
  if (view === undefined || waits()) return;
  const now = shown.peek();
  if (now.view === undefined && now.gone === undefined) shown.value = { ...now, view };
}

/**
 * Tells of a job that is new here which of the service's views shows the state that is kept, so that
 * the app opens on it the next time, with the rule book never heard or without a signal.
 */
export function firstViews(keep: (view: JobView) => void) {
  const [views, seqs] = [new Map<string, JobView>(), new Map<string, number>()];
  const look = (job: string) => {
    const view = views.get(job);
    if (view === undefined || view.seq !== seqs.get(job)) return;
    views.delete(job);
    seqs.delete(job);
    keep(view);
  };
  return {
    served(job: string, view: JobView): void {
      views.set(job, view);
      look(job);
    },
    begun(job: string, seq: number): void {
      seqs.set(job, seq);
      look(job);
    },
    /** The next person's are other views. */
    forget(): void {
      views.clear();
      seqs.clear();
    },
  };
}
