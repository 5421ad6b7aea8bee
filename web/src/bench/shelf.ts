import type { Fastener } from '../api/views.ts';

export type NailKind = Fastener['kind'];
export type NailPlace = Fastener['where'];

export const nailKinds: readonly NailKind[] = [
  'brad18',
  'finish16',
  'finish15',
  'pin23',
  'hand_finish',
  'trim_screw',
];

export const nailPlaces: readonly NailPlace[] = [
  'jamb_edge',
  'stud',
  'corner',
  'shim_point',
  'hidden_under_stop',
  'stop_face',
  'toe',
];

const eighth = 3_175_000;

/*
 * What stands on the shelf, to choose from without typing; it judges nothing. The lengths are those
 * of finish.StockLengths from 1 in up (pins from 1/2 in): tests/shelf.test.ts reads that file and
 * compares.
 */
const eighths: Readonly<Record<NailKind, readonly number[]>> = {
  pin23: [4, 5, 6, 8, 9.5, 11, 12, 14, 16],
  brad18: [5, 6, 8, 10, 12, 14, 16],
  finish16: [8, 10, 12, 14, 16, 18, 20],
  finish15: [10, 12, 14, 16, 18, 20],
  hand_finish: [10, 12, 16, 20, 24],
  trim_screw: [10, 13, 16, 18, 20, 24],
};

/** Lengths a kind is sold in, nanometers, shortest first. */
export function shelfLengths(kind: NailKind): readonly number[] {
  return eighths[kind].map((count) => count * eighth);
}
