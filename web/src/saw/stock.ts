import { effect } from '@preact/signals';
import { useCallback, useEffect, useState } from 'preact/hooks';
import { ask } from '../api/client.ts';
import { Refusal } from '../api/refusal.ts';
import type { components } from '../api/schema.ts';
import { jobView, outbox, plans, pullJob, watch } from '../live/store.ts';

type Schemas = components['schemas'];
export type StockSheet = Schemas['StockSheet'];
export type PlanView = Schemas['PlanView'];
export type StockView = Schemas['StockView'];
export type StickView = Schemas['StickView'];
export type PieceView = Schemas['PieceView'];
export type StockLine = Schemas['StockLineView'];
export type PlanAsk = Schemas['Ask'];

export interface Stock {
  readonly sheet?: StockSheet;
  readonly offline?: boolean;
  readonly gone?: string;
}

const listeners = new Map<string, Set<() => void>>();

/** Everything that shows the job's stock asks the service once more. */
export function askAgain(job: string): void {
  for (const listen of listeners.get(job) ?? []) listen();
}

/**
 * A job's plan, rack and list, kept current. The plan is worked out by the service; what is done
 * by it goes through the outbox like everything else, and the plan is asked for again once it is sent.
 */
export function useStock(job: string): Stock & { take: (sheet: StockSheet) => void } {
  const [stock, setStock] = useState<Stock>({});
  const load = useCallback(async () => {
    try {
      setStock({ sheet: await ask<StockSheet>(`/jobs/${job}/stock`) });
    } catch (cause) {
      if (cause instanceof Refusal && !cause.passing) setStock({ gone: cause.message });
      else setStock((before) => ({ ...before, offline: true }));
    }
  }, [job]);
  useEffect(() => {
    const here = listeners.get(job) ?? new Set();
    const listen = () => void load();
    here.add(listen);
    listeners.set(job, here);
    void pullJob(job); // its rooms, to plan some of them
    const stopWatching = watch(job);
    let waiting = -1;
    let seq = -1;
    let mark: unknown;
    const stop = effect(() => {
      const unsent = outbox.waiting.value.length;
      const now = jobView(job).value.view?.seq ?? 0;
      // Somebody else's new plan moves no number of the log.
      const plan = plans.value[job];
      // What this device has not sent yet is not in the service's answer.
      if (unsent === 0 && (waiting !== 0 || now !== seq || plan !== mark)) listen();
      waiting = unsent;
      seq = now;
      mark = plan;
    });
    return () => {
      here.delete(listen);
      stop();
      stopWatching();
    };
  }, [job, load]);
  return { ...stock, take: (sheet) => setStock({ sheet }) };
}
