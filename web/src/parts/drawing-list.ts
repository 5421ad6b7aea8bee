import type { StageState } from './stages.ts';

/*
 * The display list of a drawing. Go makes it, for the screen as for print and PDF; this side only
 * draws it. Coordinates are tenths of a millimeter, x right and y down, in real proportion.
 */
export interface DrawingList {
  title: string;
  width: number;
  height: number;
  /** How many times their size gaps, leans and slopes are drawn; left out when they are true. */
  exaggerated?: number;
  shapes: Shape[];
}

export type ShapeKind = 'polygon' | 'polyline' | 'dim' | 'label' | 'angle' | 'spot';

export type ShapeState = 'taken' | 'missing' | 'next' | 'disagree' | 'computed' | 'stale';

export type ListPoint = [number, number];

export interface Shape {
  kind: ShapeKind;
  /** stud header floor jamb head slab stop casing gap wall plumb level mark hatch dim glass closing item … */
  role: string;
  points: ListPoint[];
  /** The reading, piece, corner or item this is; a shape with a key can be touched. */
  key?: string;
  /** A dimension's printed value, or the reading's name while there is none. */
  text?: string;
  /** The plain name for someone who can't see the drawing. */
  name?: string;
  state?: ShapeState;
  /** How far a dimension line stands off its points; positive is left of the first-to-last direction. */
  offset?: number;
  /** Where on its line a dimension's text best stands, percent from the first point; else the middle. */
  along?: number;
  anchor?: 'start' | 'middle' | 'end';
  /** Of a spot, an item's place on a plan: the state of its stages from the floor up. */
  marks?: readonly StageState[];
  /** A reading the cuts do without and nobody took. */
  optional?: boolean;
}
