import { effect } from '@preact/signals';
import { useEffect, useState } from 'preact/hooks';
import type { ItemView, JobView } from '../api/views.ts';
import { itemView, jobView, pullItem, pullJob, type Shown, watch } from '../live/store.ts';
import { type Change, latest, merge } from './changes.ts';

export interface FollowedJob {
  readonly shown: Shown<JobView>;
  /** What became of things since the screen opened, newest first. */
  readonly changes: readonly Change[];
}

/** A job as it stands, kept current while the screen is open, and what changed meanwhile. */
export function useJob(job: string): FollowedJob {
  const [followed, setFollowed] = useState<FollowedJob>(() => ({
    shown: jobView(job).peek(),
    changes: [],
  }));
  useEffect(() => {
    let seen: JobView | null = null;
    let changes: readonly Change[] = [];
    const stopWatching = watch(job);
    const stopReading = effect(() => {
      const shown = jobView(job).value;
      if (shown.view === undefined) {
        setFollowed({ shown, changes: [] });
        return;
      }
      const merged = merge(seen, shown.view);
      seen = merged.job;
      if (merged.changes.length > 0) changes = latest(changes, merged.changes);
      setFollowed({ shown: { ...shown, view: merged.job }, changes });
    });
    void pullJob(job);
    return () => {
      stopReading();
      stopWatching();
    };
  }, [job]);
  return followed;
}

/** One opening of a job, kept current while it is shown; nothing while none is chosen. */
export function useItem(job: string, item: string | null): Shown<ItemView> {
  const [shown, setShown] = useState<{ item: string; shown: Shown<ItemView> } | null>(null);
  useEffect(() => {
    if (item === null) return;
    const stopReading = effect(() => {
      const value = itemView(item).value;
      setShown({ item, shown: value });
    });
    // Arrow keys pass over poles faster than a person reads them: asked for once they rest.
    let stopWatching = () => {};
    const rest = setTimeout(() => {
      stopWatching = watch(job, item);
      void pullItem(job, item);
    }, 120);
    return () => {
      clearTimeout(rest);
      stopReading();
      stopWatching();
    };
  }, [job, item]);
  return shown !== null && shown.item === item ? shown.shown : {};
}
