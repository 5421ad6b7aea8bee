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

/** Held openings; those that only time can clear stand last, the soonest of them first. */
export function heldIn(job: JobView): PoleView[] {
  const held = polesOf(job).filter((pole) => standingOf(pole) === 'held');
  const clears = (pole: PoleView) =>
    pole.clears_at === undefined ? 0 : new Date(pole.clears_at).getTime();
  return held.sort((a, b) => clears(a) - clears(b));
}

/** What a person can do now: stages to tick, then stages to do again, then work to go on with. */
export function readyIn(job: JobView): PoleView[] {
  const order: readonly Standing[] = ['ready', 'redo', 'going'];
  const rank = (pole: PoleView) => order.indexOf(standingOf(pole));
  return polesOf(job)
    .filter((pole) => rank(pole) >= 0)
    .sort((a, b) => rank(a) - rank(b));
}
