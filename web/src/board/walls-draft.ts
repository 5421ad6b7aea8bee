import type { CommandBody } from '../api/command.ts';
import type { components } from '../api/schema.ts';
import type { ReadingView, RoomView } from '../api/views.ts';

export type Feature = components['schemas']['Feature'];
export type RunEnd = NonNullable<components['schemas']['Room']['starts']>;

/** A wall as it is being set up. Lengths are nanometers, the angle thousandths of a degree. */
export interface DraftWall {
  /** The number it has in the layout that is changed; none for a wall that is put in. */
  readonly was: number | null;
  readonly length: number | null;
  readonly turn: 'inside' | 'outside';
  readonly angle: number;
  readonly stud: number | null;
  readonly bow: number | null;
}

export interface Draft {
  readonly walls: readonly DraftWall[];
  readonly features: readonly Feature[];
  readonly open: boolean;
  readonly starts: RunEnd;
  readonly ends: RunEnd;
}

export const square = 90_000;

export const newWall: DraftWall = {
  was: null,
  length: null,
  turn: 'inside',
  angle: square,
  stud: null,
  bow: null,
};

export const emptyDraft: Draft = {
  walls: [],
  features: [],
  open: false,
  starts: 'wall',
  ends: 'wall',
};

/** A room as it stands, to be changed. A reading that does not count yet is left blank. */
export function draftOf(room: RoomView): Draft {
  const { layout, plan } = room;
  if (layout === undefined) return emptyDraft;
  const value = (wall: number, what: string): number | null =>
    plan?.readings.find(({ name }) => name === `wall_${wall}_${what}`)?.value ?? null;
  return {
    walls: layout.walls.walls.map((wall, at) => ({
      was: at + 1,
      length: value(at + 1, 'length'),
      turn: wall.turn ?? ((wall.angle ?? 0) > 180_000 ? 'outside' : 'inside'),
      angle: value(at + 1, 'angle') ?? (wall.angle || square),
      stud: value(at + 1, 'stud'),
      bow: value(at + 1, 'bow'),
    })),
    features: layout.features ?? [],
    open: layout.walls.open === true,
    starts: layout.walls.starts ?? 'wall',
    ends: layout.walls.ends ?? 'wall',
  };
}

/**
 * The walls as the command lays them out: their lengths are read, not laid out. Which wall is
 * which is said, so that what a run chose for a corner stays with its walls.
 */
export function wallsOf(draft: Draft): CommandBody<'set_walls'> {
  const known = draft.walls.some(({ was }) => was !== null);
  return {
    walls: {
      walls: draft.walls.map(({ turn, angle }) => ({
        length: 0,
        turn,
        ...(angle === square ? {} : { angle }),
      })),
      ...(draft.open ? { open: true, starts: draft.starts, ends: draft.ends } : {}),
    },
    features: draft.features.map((feature) => ({ ...feature })),
    ...(known ? { was: draft.walls.map(({ was }) => was ?? 0) } : {}),
  };
}

type Read = CommandBody<'take_reading'>;

const measured = ['length', 'stud', 'bow'] as const;

/** What was taped of the walls. */
export function readingsOf(draft: Draft): Read[] {
  return draft.walls.flatMap((wall, at) =>
    measured.flatMap((what): Read[] => {
      const value = wall[what];
      return value === null ? [] : [{ reading: `wall_${at + 1}_${what}`, value, tool: 'tape' }];
    }),
  );
}

export interface Sending {
  /** Takes that no longer hold, by their ids. */
  readonly withdraw: readonly string[];
  readonly take: readonly Read[];
}

/**
 * What to send so that the room reads as drafted: a take whose value was changed is withdrawn, the
 * log keeps both. Corners are laid out with the walls, so a gauge's reading gives way to a new one.
 */
export function changesTo(room: RoomView, draft: Draft): Sending {
  const known = new Map<string, ReadingView>(
    (room.plan?.readings ?? []).map((reading) => [reading.name, reading]),
  );
  const wanted = new Map(readingsOf(draft).map((read) => [read.reading, read]));
  const stands = (reading: ReadingView) => {
    const read = wanted.get(reading.name);
    if (reading.name.endsWith('_angle')) {
      const wall = Number(reading.name.split('_')[1]);
      return draft.walls[wall - 1]?.angle === reading.value;
    }
    return read !== undefined && read.value === reading.value;
  };
  const withdraw: string[] = [];
  for (const reading of known.values()) {
    if ((reading.takes ?? []).length === 0 || stands(reading)) continue;
    // Takes that disagree are blank in the draft: left for whoever taped them, unless taped anew.
    if (reading.state === 'disagree' && !wanted.has(reading.name)) continue;
    for (const take of reading.takes ?? []) withdraw.push(take.command_id);
  }
  const take = [...wanted.values()].filter(({ reading }) => {
    const had = known.get(reading);
    return had === undefined || (had.takes ?? []).length === 0 || !stands(had);
  });
  return { withdraw, take };
}

/** A wall put in or taken out; what stands on the others moves with its wall. */
export function insertWall(draft: Draft, at: number): Draft {
  return {
    ...draft,
    walls: [...draft.walls.slice(0, at), newWall, ...draft.walls.slice(at)],
    features: draft.features.map((feature) =>
      feature.wall > at ? { ...feature, wall: feature.wall + 1 } : feature,
    ),
  };
}

export function removeWall(draft: Draft, at: number): Draft {
  return {
    ...draft,
    walls: draft.walls.filter((_, index) => index !== at),
    features: draft.features
      .filter(({ wall }) => wall !== at + 1)
      .map((feature) => (feature.wall > at + 1 ? { ...feature, wall: feature.wall - 1 } : feature)),
  };
}

export function changeWall(draft: Draft, at: number, change: Partial<DraftWall>): Draft {
  return {
    ...draft,
    walls: draft.walls.map((wall, index) => (index === at ? { ...wall, ...change } : wall)),
  };
}
