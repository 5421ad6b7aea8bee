import type { Spec } from '../api/views.ts';
import { common } from '../rulebook/common.ts';

export type Unit = Spec['unit'];
export type Casing = NonNullable<Spec['casing_a']>;
export type OpeningKind = Exclude<Unit['kind'], 'run'>;
export type Face = 'a' | 'b';

/** An opening being set up: what is to go in, and its name. */
export interface Draft {
  readonly name: string;
  readonly spec: Spec;
}

export const kinds: readonly OpeningKind[] = [
  'door',
  'cased_opening',
  'pair',
  'pocket',
  'bifold',
  'bypass',
  'window',
];

const inches = (whole: number, sixteenths = 0) => whole * 25_400_000 + sixteenths * 1_587_500;

/** A new opening: as the pattern has it, where the job has one of the kind, else a common one. */
export function newDraft(kind: OpeningKind, name: string, pattern?: Spec): Draft {
  if (pattern !== undefined && pattern.unit.kind === kind)
    return { name, spec: withoutOnes(pattern) };
  const casing = pattern?.casing_a ?? common.casing;
  const unit = { ...common.units[kind], grade: pattern?.unit.grade ?? common.units[kind].grade };
  const spec: Spec = { unit, casing_a: casing };
  return {
    name,
    spec: kind === 'window' ? spec : { ...spec, casing_b: pattern?.casing_b ?? casing },
  };
}

/** What belongs to one opening only is not carried to the next: labels, ways out, what shows. */
function withoutOnes(pattern: Spec): Spec {
  const { exit, accessible, fire_label, return_air, ...unit } = pattern.unit;
  const { seen_from_above, ...rest } = pattern;
  const core = unit.core === 'fire_rated' ? 'solid' : unit.core;
  return { ...rest, unit: core === undefined ? unit : { ...unit, core } };
}

export function change(draft: Draft, unit: Partial<Unit>): Draft {
  return { ...draft, spec: { ...draft.spec, unit: tidy({ ...draft.spec.unit, ...unit }) } };
}

/** Turns an opening into another kind, keeping what both have. */
export function changeKind(draft: Draft, kind: OpeningKind): Draft {
  const from = draft.spec.unit;
  if (from.kind === kind) return draft;
  const keep = { ...common.units[kind], grade: from.grade } as Unit;
  // Sizes of another kind of opening mislead: only what the frame is made of is kept.
  for (const size of ['jamb_thickness', 'jamb_width', 'head_thickness'] as const) {
    const value = from[size];
    if (common.units[kind][size] !== undefined && value !== undefined) keep[size] = value;
  }
  return { ...draft, spec: { ...draft.spec, unit: keep } };
}

export type CasingChange = { readonly [K in keyof Casing]?: Casing[K] | undefined };

export function changeCasing(draft: Draft, face: Face, casing: CasingChange | null): Draft {
  const key = face === 'a' ? 'casing_a' : 'casing_b';
  if (casing === null) {
    const { [key]: _, ...rest } = draft.spec;
    return { ...draft, spec: rest };
  }
  const was = draft.spec[key] ?? otherCasing(draft, face) ?? common.casing;
  return { ...draft, spec: { ...draft.spec, [key]: tidy({ ...was, ...casing }) } };
}

function otherCasing({ spec }: Draft, face: Face): Casing | undefined {
  return face === 'a' ? spec.casing_b : spec.casing_a;
}

/** Takes out what was not said: a length of zero, an empty word, a box not ticked. */
function tidy<T extends object>(whole: T): T {
  return Object.fromEntries(
    Object.entries(whole).filter(
      ([, value]) => value !== undefined && value !== 0 && value !== '' && value !== false,
    ),
  ) as T;
}

export interface Swing {
  readonly hinge: 'left' | 'right';
  readonly to: Face;
}

/** The four ways a slab hangs, seen from face A. */
export const swings: readonly Swing[] = [
  { hinge: 'left', to: 'a' },
  { hinge: 'right', to: 'a' },
  { hinge: 'left', to: 'b' },
  { hinge: 'right', to: 'b' },
];

export interface Nominal {
  readonly label: string;
  readonly nm: number;
}

const whole = (...list: number[]): Nominal[] =>
  list.map((each) => ({ label: `${each}`, nm: inches(each) }));
const metric = (...list: number[]): Nominal[] =>
  list.map((each) => ({ label: `${each}`, nm: each * 1_000_000 }));
const parts = (...list: [string, number, number][]): Nominal[] =>
  list.map(([label, inch, sixteenths]) => ({ label, nm: inches(inch, sixteenths) }));

/** Sizes a supply house stocks, in the unit the person reads. Anything else is taped. */
export const nominal = {
  in: {
    slab_width: whole(24, 28, 30, 32, 36),
    slab_height: whole(80, 84, 96),
    window_width: whole(24, 30, 36, 48),
    window_height: whole(36, 48, 60),
    slab_thickness: parts(['1 3/8', 1, 6], ['1 3/4', 1, 12]),
    jamb_thickness: parts(['5/8', 0, 10], ['3/4', 0, 12]),
    jamb_width: parts(['4 9/16', 4, 9], ['4 5/8', 4, 10], ['6 9/16', 6, 9]),
    leg_length: parts(['81', 81, 0], ['81 1/2', 81, 8], ['84', 84, 0]),
    stop_thickness: parts(['3/8', 0, 6], ['1/2', 0, 8]),
    casing_width: parts(['2 1/4', 2, 4], ['2 3/4', 2, 12], ['3 1/2', 3, 8]),
    casing_thickness: parts(['9/16', 0, 9], ['11/16', 0, 11], ['3/4', 0, 12]),
    overhang: parts(['1/2', 0, 8], ['3/4', 0, 12], ['1', 1, 0]),
    block: parts(['2 3/4', 2, 12], ['3 1/2', 3, 8], ['4', 4, 0]),
    plinth_height: parts(['6', 6, 0], ['7 1/4', 7, 4]),
    board: parts(['1/2', 0, 8], ['5/8', 0, 10]),
  },
  mm: {
    slab_width: metric(610, 711, 762, 813, 915),
    slab_height: metric(2032, 2134, 2438),
    window_width: metric(610, 762, 914, 1219),
    window_height: metric(914, 1219, 1524),
    slab_thickness: metric(35, 45),
    jamb_thickness: metric(16, 19),
    jamb_width: metric(116, 118, 167),
    leg_length: metric(2057, 2070, 2134),
    stop_thickness: metric(10, 12),
    casing_width: metric(57, 70, 90),
    casing_thickness: metric(14, 18, 19),
    overhang: metric(12, 19, 25),
    block: metric(70, 90, 100),
    plinth_height: metric(150, 185),
    board: metric(12.5, 15),
  },
} as const;

export type NominalSize = keyof typeof nominal.in;
