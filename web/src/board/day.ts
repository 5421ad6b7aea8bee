import type { JobView, PoleView } from '../api/views.ts';
import { type Standing, standingOf } from './standing.ts';

const order: readonly Standing[] = ['ready', 'redo', 'going', 'held'];

/** What dries comes last, the soonest first: nobody can hurry it. */
function dries(pole: PoleView): number {
  return pole.clears_at === undefined ? 0 : new Date(pole.clears_at).getTime();
}

/**
 * A person's work in the order they would do it: what can be done now before what waits, and a
 * room left only when what is ready in it is done.
 */
export function dayOfPerson(job: JobView, person: string): PoleView[] {
  const mine = job.rooms.flatMap((room, at) =>
    room.items
      .filter((pole) => pole.assigned_to === person && standingOf(pole) !== 'done')
      .map((pole) => ({ pole, room: at })),
  );
  const rank = (pole: PoleView) => order.indexOf(standingOf(pole));
  return mine
    .sort((a, b) => rank(a.pole) - rank(b.pole) || dries(a.pole) - dries(b.pole) || a.room - b.room)
    .map(({ pole }) => pole);
}

/** What nobody has. */
export function unassigned(job: JobView): PoleView[] {
  return job.rooms.flatMap(({ items }) =>
    items.filter((pole) => (pole.assigned_to ?? '') === '' && standingOf(pole) !== 'done'),
  );
}
