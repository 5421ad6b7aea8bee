import { signal } from '@preact/signals';
import type { About, CommandBody, CommandKind } from '../api/command.ts';
import type { Command, FindingView, Outcome } from '../api/views.ts';
import { act, putAway } from '../live/store.ts';

export interface Doing {
  /** What came of it: taken up, turned back with the reasons, or kept until there is a signal. */
  readonly came: 'done' | 'refused' | 'kept';
  readonly findings: readonly FindingView[];
}

/** True while something of this screen is on its way. */
export const busy = signal(0);

/** Does one thing and says what came of it, where it was done. */
export async function perform<K extends Extract<CommandKind, keyof Command>>(
  kind: K,
  about: About,
  body: CommandBody<K>,
  said: string,
): Promise<Doing> {
  busy.value += 1;
  try {
    return cameOf(await act(kind, about, body, { said }));
  } finally {
    busy.value -= 1;
  }
}

function cameOf(outcome: Outcome | null): Doing {
  if (outcome === null) return { came: 'kept', findings: [] };
  if (outcome.applied) return { came: 'done', findings: outcome.findings ?? [] };
  // Told here, beside what was done: not once more as a stray refusal on the next screen.
  putAway(outcome.command_id);
  return { came: 'refused', findings: outcome.findings ?? [] };
}
