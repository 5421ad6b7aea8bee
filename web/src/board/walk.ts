import type { Storey } from './rows.ts';

/** A place on the board a person can stand on: a pole, or the room's name under it. */
export interface Place {
  readonly kind: 'pole' | 'room';
  readonly id: string;
}

interface Spot extends Place {
  /** Middle, in columns. */
  readonly at: number;
}

/** The lines a person walks: a row's poles, then the names of its rooms, then the next row. */
function lines(house: readonly Storey[]): Spot[][] {
  const out: Spot[][] = [];
  for (const { rows } of house) {
    for (const { stretches } of rows) {
      const poles: Spot[] = [];
      const rooms: Spot[] = [];
      for (const stretch of stretches) {
        for (const [index, pole] of stretch.items.entries()) {
          poles.push({ kind: 'pole', id: pole.id, at: stretch.start + index + 0.5 });
        }
        if (!stretch.continued) {
          rooms.push({ kind: 'room', id: stretch.room.id, at: stretch.start + stretch.width / 2 });
        }
      }
      if (poles.length > 0) out.push(poles);
      if (rooms.length > 0) out.push(rooms);
    }
  }
  return out;
}

export function firstPlace(house: readonly Storey[]): Place | null {
  const all = lines(house).flat();
  const pole = all.find(({ kind }) => kind === 'pole') ?? all[0];
  return pole === undefined ? null : place(pole);
}

export function hasPlace(house: readonly Storey[], wanted: Place): boolean {
  return lines(house).some((line) => line.some((spot) => same(spot, wanted)));
}

/**
 * Where a key leads: left and right walk a line and go on into the next, up and down go to the
 * nearest in the line above or below, Home and End to a line's ends, with Control to the board's.
 * Null when the key does nothing here.
 */
export function walk(
  house: readonly Storey[],
  from: Place,
  key: string,
  control = false,
): Place | null {
  const all = lines(house);
  const row = all.findIndex((line) => line.some((spot) => same(spot, from)));
  const line = all[row];
  if (line === undefined) return firstPlace(house);
  const index = line.findIndex((spot) => same(spot, from));
  const here = line[index];
  if (here === undefined) return null;
  const step = (): Spot | undefined => {
    switch (key) {
      case 'ArrowRight':
        return line[index + 1] ?? sameKind(all, row, 1, here)?.[0];
      case 'ArrowLeft':
        return line[index - 1] ?? sameKind(all, row, -1, here)?.at(-1);
      case 'ArrowUp':
        return nearest(all[row - 1], here.at);
      case 'ArrowDown':
        return nearest(all[row + 1], here.at);
      case 'Home':
        return control ? all[0]?.[0] : line[0];
      case 'End':
        return control ? all.at(-1)?.at(-1) : line.at(-1);
      default:
        return undefined;
    }
  };
  const to = step();
  return to === undefined || same(to, here) ? null : place(to);
}

function sameKind(all: Spot[][], row: number, by: 1 | -1, here: Spot): Spot[] | undefined {
  for (let at = row + by; at >= 0 && at < all.length; at += by) {
    if (all[at]?.[0]?.kind === here.kind) return all[at];
  }
  return undefined;
}

function nearest(line: readonly Spot[] | undefined, at: number): Spot | undefined {
  let best: Spot | undefined;
  for (const spot of line ?? []) {
    if (best === undefined || Math.abs(spot.at - at) < Math.abs(best.at - at)) best = spot;
  }
  return best;
}

function same(a: Place, b: Place): boolean {
  return a.kind === b.kind && a.id === b.id;
}

function place({ kind, id }: Place): Place {
  return { kind, id };
}
