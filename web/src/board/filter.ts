import type { JobView, PoleView, StageName } from '../api/views.ts';
import { standingOf } from './standing.ts';

/** What of a job's board is shown; what is left out does not count. */
export interface BoardFilter {
  readonly person?: string;
  /** The stage that is next. */
  readonly stage?: StageName;
  readonly standing?: 'held' | 'ready' | 'redo';
}

export function isFiltered(filter: BoardFilter): boolean {
  return Object.keys(filter).length > 0;
}

function fits(pole: PoleView, filter: BoardFilter): boolean {
  if (filter.person !== undefined && (pole.assigned_to ?? '') !== filter.person) return false;
  if (filter.stage !== undefined && pole.next !== filter.stage) return false;
  return filter.standing === undefined || standingOf(pole) === filter.standing;
}

/** The job with what fits alone; a room where nothing does is left out. */
export function filtered(job: JobView, filter: BoardFilter): JobView {
  if (!isFiltered(filter)) return job;
  const rooms = job.rooms
    .map((room) => ({ ...room, items: room.items.filter((pole) => fits(pole, filter)) }))
    .filter(({ items }) => items.length > 0);
  return { ...job, rooms };
}
