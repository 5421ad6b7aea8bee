import type { JobView, PoleView } from '../api/views.ts';
import { byTurn, polesOf, standingOf } from './standing.ts';

/** A person's work in the order they would do it, as their calendar has it too. */
export function dayOfPerson(job: JobView, person: string): PoleView[] {
  return polesOf(job)
    .filter((pole) => pole.assigned_to === person && standingOf(pole) !== 'done')
    .sort(byTurn);
}

/** What nobody has. */
export function unassigned(job: JobView): PoleView[] {
  return polesOf(job).filter(
    (pole) => (pole.assigned_to ?? '') === '' && standingOf(pole) !== 'done',
  );
}
