import { useEffect } from 'preact/hooks';
import { jobs, pullJob, pullJobs, watch } from '../live/store.ts';

/** Keeps all of this person's jobs current while the screen is up. */
export function useFollowedJobs(): void {
  const ids = jobs.value.view?.map(({ id }) => id) ?? [];
  useEffect(() => {
    void pullJobs();
  }, []);
  useEffect(() => {
    for (const job of ids) void pullJob(job);
    const stops = ids.map((job) => watch(job));
    return () => {
      for (const stop of stops) stop();
    };
  }, [ids.join(' ')]);
}
