import type { Fastener } from '../api/views.ts';
import { nails } from '../rulebook/nails.ts';

export type NailKind = Fastener['kind'];
export type NailPlace = Fastener['where'];

/** The order a hand reaches for them; the rule book's is by gauge. */
export const nailKinds: readonly NailKind[] = [
  'brad18',
  'finish16',
  'finish15',
  'pin23',
  'hand_finish',
  'trim_screw',
];

/** Where a nail can go. Only shoe has a base behind it. */
export const nailPlaces = (shoe: boolean): readonly NailPlace[] =>
  nails.nail_places.filter((place) => shoe || place !== 'base');

/** Lengths a kind is sold in, nanometers, shortest first. It offers; it judges nothing. */
export function shelfLengths(kind: NailKind): readonly number[] {
  return nails.nail_lengths[kind];
}
