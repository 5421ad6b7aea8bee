import { useEffect, useState } from 'preact/hooks';
import { ask } from '../api/client.ts';
import { Refusal } from '../api/refusal.ts';
import type { components } from '../api/schema.ts';

export type Forecast = components['schemas']['Forecast'];

/** What the person takes of the crew; nothing for what the service takes. */
export interface Assumed {
  readonly people?: number;
  readonly from: string;
  readonly to: string;
  /** Days of work, Sunday 0. */
  readonly days: string;
}

export const usual: Assumed = { from: '07:30', to: '15:30', days: '12345' };

export interface Foretold {
  readonly view?: Forecast;
  readonly offline?: boolean;
  readonly gone?: string;
  /** Why what was set cannot be. */
  readonly refused?: string;
}

/** A job's forecast, asked for again as its log grows or something else is taken. */
export function useForecast(job: string, seq: number | undefined, assumed: Assumed) {
  const [shown, setShown] = useState<Foretold>({});
  const [turn, setTurn] = useState(0);
  const { people, from, to, days } = assumed;
  useEffect(() => {
    if (seq === undefined) return;
    const stop = new AbortController();
    const query = new URLSearchParams({
      from,
      to,
      days,
      zone: Intl.DateTimeFormat().resolvedOptions().timeZone || 'UTC',
      ...(people === undefined ? {} : { people: String(people) }),
    });
    ask<Forecast>(`/jobs/${job}/forecast?${query}`, { signal: stop.signal }).then(
      (view) => setShown({ view }),
      (cause) => {
        if (stop.signal.aborted) return;
        if (!(cause instanceof Refusal) || cause.passing) {
          setShown((was) => ({ ...was, offline: true }));
        } else if (cause.status === 422) setShown((was) => ({ ...was, refused: cause.sentence }));
        else setShown({ gone: cause.sentence });
      },
    );
    return () => stop.abort();
  }, [job, seq, people, from, to, days, turn]);
  return { shown, again: () => setTurn((was) => was + 1) };
}

/** Whole hours where there are many, else the nearest quarter. */
export function hours(minutes: number): number {
  return minutes >= 600 ? Math.round(minutes / 60) : Math.round(minutes / 15) / 4;
}
