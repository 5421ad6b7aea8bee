/**
 * Views a small invented job while nothing is asked, so that the browser has compiled the rules'
 * code by the time a person's own job is viewed: a first view takes twice as long as a later one.
 * The job's log is warm.json; it is opened under a name no caller uses and closed again.
 */
export type Call = (name: string, json: string) => unknown;

/** The log viewed, as warm.json has it. */
export interface WarmLog {
  readonly now: string;
  readonly entries: readonly unknown[];
}

export interface Warming {
  /** A question was taken up. A view of a real job warms better: it ends this. */
  asked(name: string): void;
  /** Its answer is out. */
  answered(language: string): void;
}

const as = ' warm';
// The browser compiles a function again, better, once it has run some times: past eight views of
// three doors and three runs, more bring nothing (measured).
const views = 8;

/** `later` runs its work once the worker has been idle for a moment. A step is one view at most. */
export function warming(
  call: Call,
  log: () => Promise<WarmLog>,
  later: (work: () => void) => void,
): Warming {
  let left = views;
  let busy = 0;
  let planned = false;
  let now: string | undefined;
  let language = '';

  const end = (): void => {
    left = 0;
    if (now !== undefined) call('close', JSON.stringify({ as }));
    now = undefined;
  };
  const plan = (): void => {
    if (planned || busy > 0 || left === 0) return;
    planned = true;
    later(() => void step());
  };
  const step = async (): Promise<void> => {
    try {
      if (busy > 0 || left === 0) return;
      if (now === undefined) {
        const job = await log();
        // A question may have come while the file was read.
        if (busy > 0 || left === 0) return;
        call('open', JSON.stringify({ as }));
        call('apply', JSON.stringify({ as, entries: job.entries }));
        now = job.now;
        return;
      }
      const reader = { language, unit: 'in', step: 1_587_500, now };
      call('view_job', JSON.stringify({ as, company: {}, reader }));
      left -= 1;
      if (left === 0) end();
    } catch {
      left = 0; // a file that is not there yet, or a rule book that ended: who asks next is told
    } finally {
      planned = false;
      plan();
    }
  };
  return {
    asked(name) {
      busy += 1;
      if (left > 0 && (name === 'view_job' || name === 'view_item')) end();
    },
    answered(spoken) {
      busy -= 1;
      language = spoken;
      plan();
    },
  };
}
