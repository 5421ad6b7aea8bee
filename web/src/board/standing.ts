import type { JobView, PoleView, RoomView } from '../api/views.ts';

/** Where an opening stands, in the order a lead should look. */
export type Standing = 'held' | 'redo' | 'ready' | 'going' | 'done';

export function standingOf(pole: PoleView): Standing {
  if (pole.held) return 'held';
  if (pole.marks.some(({ status }) => status === 'redone')) return 'redo';
  if (pole.marks.some(({ status }) => status === 'ready')) return 'ready';
  return pole.next === undefined || pole.next === '' ? 'done' : 'going';
}

export interface Tally {
  readonly total: number;
  readonly done: number;
  readonly held: number;
}

export function tally(poles: readonly PoleView[]): Tally {
  let [done, held] = [0, 0];
  for (const pole of poles) {
    const standing = standingOf(pole);
    if (standing === 'done') done += 1;
    if (standing === 'held') held += 1;
  }
  return { total: poles.length, done, held };
}

export function polesOf(job: JobView): PoleView[] {
  return job.rooms.flatMap(({ items }) => items);
}

export function poleAt(job: JobView, id: string): PoleView | undefined {
  for (const room of job.rooms) {
    const found = room.items.find((pole) => pole.id === id);
    if (found !== undefined) return found;
  }
  return undefined;
}

export function roomAt(job: JobView, id: string): RoomView | undefined {
  return job.rooms.find((room) => room.id === id);
}

/** The order of a day's work is the rule book's; of one turn, room by room as the board has them. */
export const byTurn = (a: PoleView, b: PoleView) => a.turn - b.turn;

/** Held openings; those that only time can clear stand last, the soonest of them first. */
export function heldIn(job: JobView): PoleView[] {
  return polesOf(job)
    .filter((pole) => standingOf(pole) === 'held')
    .sort(byTurn);
}

/** What a person can do now: stages to tick, then stages to do again, then work to go on with. */
export function readyIn(job: JobView): PoleView[] {
  return polesOf(job)
    .filter((pole) => !['held', 'done'].includes(standingOf(pole)))
    .sort(byTurn);
}
