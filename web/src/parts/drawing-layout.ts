import {
  type Box,
  boxAround,
  extent,
  inside,
  intoView,
  overlap,
  type Px,
  type Segment,
  type Size,
  shift,
  shiftBox,
  tagBoxes,
  upright,
  within,
} from './drawing-boxes.ts';
import type { DrawingList, ListPoint, Shape } from './drawing-list.ts';
import { type Corner, type Spot, spotsOfAngle, spotsOfDim } from './drawing-spots.ts';
import { type Typeset, typeset } from './drawing-text.tsx';
import { figureSize } from './pole.tsx';

/** Drawing units to screen pixels. `zoom` 1 fits the whole drawing; the center is in drawing units. */
export interface View {
  readonly zoom: number;
  readonly center: Px;
}

export interface Transform {
  readonly scale: number;
  at(point: ListPoint): Px;
}

/** Room for tags and lines that stand outside the drawn shapes, in pixels. */
const margin = 8;

export function wholeView(list: DrawingList): View {
  return { zoom: 1, center: { x: list.width / 2, y: list.height / 2 } };
}

export function transformOf(list: DrawingList, size: Size, view: View): Transform {
  const fit = Math.min(
    (size.width - 2 * margin) / Math.max(list.width, 1),
    (size.height - 2 * margin) / Math.max(list.height, 1),
  );
  const scale = Math.max(fit, 1e-6) * view.zoom;
  return {
    scale,
    at: ([x, y]) => ({
      x: (x - view.center.x) * scale + size.width / 2,
      y: (y - view.center.y) * scale + size.height / 2,
    }),
  };
}

interface PlacedTag {
  readonly shape: Shape;
  readonly index: number;
  readonly tag: Px;
  readonly turn: number;
  readonly type: Typeset;
  readonly tagWidth: number;
  readonly tagHeight: number;
  /** No place was found for the tag; the line is drawn, the value shows with the focus. */
  readonly crowded: boolean;
  /** The tag lies on finished stock, whose face is lighter than the page. */
  readonly onStock: boolean;
  /** What the tag covers, in upright boxes; none when there is nothing to write. */
  readonly boxes: readonly Box[];
  /** The drawn lines a finger may mean it by. */
  readonly strokes: readonly Segment[];
}

export interface PlacedDim extends PlacedTag {
  readonly kind: 'dim';
  /** The measured points, and the ends of the dimension line. */
  readonly points: Segment;
  readonly line: Segment;
  readonly direction: Px;
  /** The tag stands off its line and is tied to it by a leader. */
  readonly leader: boolean;
}

export interface PlacedAngle extends PlacedTag, Corner {
  readonly kind: 'angle';
}

/** An item's place on a plan: its pole, and its name beside it where there is room. */
export interface PlacedSpot extends PlacedTag {
  readonly kind: 'spot';
  readonly at: Px;
  /** Left, top, width and height of the pole. */
  readonly pole: Box;
}

export type Placed = PlacedDim | PlacedAngle | PlacedSpot;

export interface Placing {
  /** Figures' size, in pixels. */
  readonly figure: number;
  readonly selected?: string | undefined;
  /** A small drawing over the tape: only what matters and what has room is written. */
  readonly compact?: boolean;
  /** Readings nobody took and the cuts do without are left out. */
  readonly spare?: boolean;
}

const tagPad = 4;
const litStock = new Set(['slab', 'casing', 'jamb', 'head', 'stop']);

function isName(shape: Shape): boolean {
  return shape.kind === 'dim' && (shape.state === 'missing' || shape.state === 'next');
}

/** Weight says what is known: a tape reading is bold, a worked-out length is not. */
export function tagWeight(shape: Shape): number {
  if (isName(shape)) return shape.state === 'next' ? 600 : 400;
  if (shape.kind === 'angle' || shape.kind === 'spot') return 600;
  return (shape.state ?? 'computed') === 'computed' ? 400 : 600;
}

/** Sizes a tag may be set in, against the figures; a name shrinks before it leaves its line. */
function sizesOf(shape: Shape): readonly number[] {
  if (shape.kind === 'angle') return [0.86, 0.78, 0.72];
  if (shape.kind === 'spot') return [0.8, 0.74, 0.7];
  if (!isName(shape)) return [1];
  return shape.optional ? [0.76, 0.71] : [0.82, 0.76, 0.71];
}

/**
 * Puts every tag where it can be read: on its line where there is room, else beside it on a leader,
 * and clear of the tags placed before it. The selected reading and the next one choose first, then
 * angles, then lengths, then the names of readings still to take, last of those nobody has to take.
 */
export function placeDims(
  list: DrawingList,
  transform: Transform,
  size: Size,
  placing: Placing,
): Placed[] {
  const { selected } = placing;
  const order = list.shapes
    .map((shape, index) => ({ shape, index, rank: rank(shape, selected) }))
    .filter(
      ({ shape, rank }) =>
        shape.points.length >= (pointsOf[shape.kind] ?? Infinity) &&
        !(placing.spare === true && rank === lastRank),
    )
    .sort((a, b) => a.rank - b.rank || a.index - b.index);
  const taken: Box[] = labelBoxes(list, transform, placing.figure);
  const faces = list.shapes
    .filter(({ kind, role }) => kind === 'polygon' && litStock.has(role))
    .map(({ points }) => points.map((point) => transform.at(point)));
  // A pole stands where it stands: nothing is written over it.
  for (const { shape } of order) {
    if (shape.kind === 'spot') taken.push(poleBox(shape, transform));
  }
  const placed: Placed[] = [];
  for (const { shape, index, rank } of order) {
    const room: Room = { transform, size, placing, taken, faces, matters: rank < 2 };
    const made =
      shape.kind === 'dim'
        ? placeDim(shape, index, room)
        : shape.kind === 'spot'
          ? placeSpot(shape, index, room)
          : placeAngle(shape, index, room);
    if (!made.crowded) taken.push(...made.boxes);
    placed.push(made);
  }
  return placed.sort((a, b) => a.index - b.index);
}

interface Room {
  readonly transform: Transform;
  readonly size: Size;
  readonly placing: Placing;
  readonly taken: readonly Box[];
  readonly faces: readonly (readonly Px[])[];
  /** The selected or the next reading: always written out. */
  readonly matters: boolean;
}

/** What is placed, and how many points it takes. */
const pointsOf: Partial<Record<Shape['kind'], number>> = { dim: 2, angle: 3, spot: 1 };

const lastRank = 5;

function rank(shape: Shape, selected: string | undefined): number {
  if (shape.key !== undefined && shape.key === selected) return 0;
  if (shape.state === 'next') return 1;
  // An angle's value has only its corner to stand in; a dimension's can slide along its line.
  if (shape.kind === 'spot') return 2;
  if (shape.kind === 'angle') return shape.optional ? lastRank : 2;
  if (!isName(shape)) return 3;
  return shape.optional ? lastRank : 4;
}

function placeDim(shape: Shape, index: number, room: Room): PlacedDim {
  const { transform } = room;
  const first = transform.at(shape.points[0] ?? [0, 0]);
  const last = transform.at(shape.points[shape.points.length - 1] ?? [0, 0]);
  const length = Math.hypot(last.x - first.x, last.y - first.y);
  const direction: Px =
    length < 1e-6
      ? { x: 1, y: 0 }
      : { x: (last.x - first.x) / length, y: (last.y - first.y) / length };
  const normal: Px = { x: direction.y, y: -direction.x };
  const off = (shape.offset ?? 0) * transform.scale;
  const from = shift(first, normal, off);
  const to = shift(last, normal, off);
  const name = isName(shape);
  // A name lies along its line; a value stands upright wherever it is.
  const turn = name ? upright(direction) : 0;
  const written = write(shape, turn, room, (width, height) =>
    spotsOfDim({
      from,
      to,
      direction,
      normal,
      length,
      along: extent(direction, turn, width, height),
      across: extent(normal, turn, width, height),
      best: shape.along ?? 50,
      name,
    }),
  );
  return {
    kind: 'dim',
    shape,
    index,
    points: [first, last],
    line: [from, to],
    strokes: [[from, to]],
    direction,
    turn,
    ...written,
  };
}

const largestArc = 22;

/** Three points: an arm, the corner, the other arm. */
function placeAngle(shape: Shape, index: number, room: Room): PlacedAngle {
  const [one, corner, two] = shape.points.map((point) => room.transform.at(point));
  const at = corner ?? { x: 0, y: 0 };
  const arms = [one ?? at, two ?? at] as const;
  const from = Math.atan2(arms[0].y - at.y, arms[0].x - at.x);
  let sweep = Math.atan2(arms[1].y - at.y, arms[1].x - at.x) - from;
  while (sweep > Math.PI) sweep -= 2 * Math.PI;
  while (sweep < -Math.PI) sweep += 2 * Math.PI;
  const shortest = Math.min(...arms.map((arm) => Math.hypot(arm.x - at.x, arm.y - at.y)));
  const arc: Corner = { corner: at, from, sweep, radius: Math.min(largestArc, shortest) };
  const onArc = (share: number) => ({
    x: at.x + Math.cos(from + sweep * share) * arc.radius,
    y: at.y + Math.sin(from + sweep * share) * arc.radius,
  });
  const written = write(shape, 0, room, (width, height) => spotsOfAngle(arc, width, height));
  return {
    kind: 'angle',
    shape,
    index,
    strokes: [
      [at, onArc(0)],
      [onArc(0), onArc(0.5)],
      [onArc(0.5), onArc(1)],
      [onArc(1), at],
    ],
    ...arc,
    turn: 0,
    ...written,
  };
}

function poleBox(shape: Shape, transform: Transform): Box {
  const at = transform.at(shape.points[0] ?? [0, 0]);
  const { width, height } = figureSize(shape.marks?.length ?? 0);
  return boxAround(at, width, height);
}

/** A pole, with its name under it, beside it or over it. */
function placeSpot(shape: Shape, index: number, room: Room): PlacedSpot {
  const at = room.transform.at(shape.points[0] ?? [0, 0]);
  const pole = poleBox(shape, room.transform);
  const across = pole.right - pole.left;
  const up = pole.bottom - pole.top;
  const written = write(shape, 0, room, (width, height) =>
    [
      [0, up / 2 + height / 2 + 1, 0],
      [across / 2 + width / 2 + 1, 0, 3],
      [-across / 2 - width / 2 - 1, 0, 3],
      [0, -up / 2 - height / 2 - 1, 6],
      [across / 2 + width / 2 + 1, up / 2, 6],
      [-across / 2 - width / 2 - 1, up / 2, 6],
    ].map(([x = 0, y = 0, cost = 0]) => ({
      tag: { x: at.x + x, y: at.y + y },
      leader: false,
      onLine: true,
      cost,
    })),
  );
  return { kind: 'spot', shape, index, at, pole, turn: 0, strokes: [[at, at]], ...written };
}

type Written = Pick<
  PlacedTag,
  'tag' | 'type' | 'tagWidth' | 'tagHeight' | 'crowded' | 'onStock' | 'boxes'
> & { leader: boolean };

/** Sets a shape's text where it costs least. */
function write(
  shape: Shape,
  turn: number,
  room: Room,
  spotsFor: (width: number, height: number) => Iterable<Spot>,
): Written {
  const { size, taken, placing } = room;
  const text = shape.text ?? '';
  let best: (Written & { cost: number; covers: number; onLine: boolean }) | undefined;
  // Nothing that costs this at least is better than what was found.
  const given = (least: number) => best !== undefined && least >= best.cost - 1e-9;
  for (const [tries, share] of sizesOf(shape).entries()) {
    const smaller = tries * 1.5;
    if (given(smaller)) break;
    const type = typeset(text, placing.figure * share, tagWeight(shape));
    const pad = shape.kind === 'angle' ? tagPad / 2 : tagPad;
    const tagWidth = type.width + 2 * pad;
    const tagHeight = type.height + 2 * pad - 2;
    for (const spot of spotsFor(tagWidth, tagHeight)) {
      if (given(smaller)) break;
      // What it covers only adds to this.
      const least = spot.cost + smaller;
      if (given(least)) continue;
      const boxes = tagBoxes(spot.tag, turn, tagWidth, tagHeight);
      const pull = intoView(boxes, size);
      const moved = boxes.map((box) => shiftBox(box, pull.x, pull.y));
      const covers = overlap(moved, taken, 0);
      const cost =
        least +
        Math.hypot(pull.x, pull.y) +
        // A tag cut off by the drawing's edge is as bad as one under another.
        (within(moved, size) ? 0 : 60) +
        covers * 4 +
        overlap(moved, taken, 4) * 0.15;
      if (given(cost)) continue;
      const tag = { x: spot.tag.x + pull.x, y: spot.tag.y + pull.y };
      const { leader, onLine } = spot;
      best = {
        tag,
        type,
        tagWidth,
        tagHeight,
        leader,
        onLine,
        boxes: moved,
        cost,
        covers,
        crowded: false,
        onStock: false,
      };
    }
  }
  if (best === undefined || text === '') {
    const tag = best?.tag ?? { x: 0, y: 0 };
    const type = typeset('', placing.figure, 400);
    const nothing = { type, tagWidth: 0, tagHeight: 0, boxes: [] };
    return { tag, ...nothing, leader: false, crowded: false, onStock: false };
  }
  const { cost: _, covers, onLine, ...written } = best;
  const known = shape.state === 'taken' || shape.state === 'disagree';
  const crowded =
    !room.matters &&
    (covers > (shape.optional ? 0.01 : 0.06) * best.tagWidth * best.tagHeight ||
      (placing.compact === true && (!onLine || covers > 0 || !known)));
  // Over a seam between two pieces it still stands on stock; over a stick narrower than itself not.
  const onStock =
    [-0.3, 0, 0.3]
      .map((share) => ({ x: best.tag.x + share * best.tagWidth, y: best.tag.y }))
      .filter((point) => room.faces.some((face) => inside(point, face))).length > 1;
  return { ...written, crowded, onStock };
}

function labelBoxes(list: DrawingList, transform: Transform, figure: number): Box[] {
  const boxes: Box[] = [];
  for (const shape of list.shapes) {
    const point = shape.points[0];
    if (shape.kind !== 'label' || point === undefined) continue;
    const type = typeset(shape.text ?? '', figure * 0.82, 400);
    const at = transform.at(point);
    const middle = { x: at.x + anchorShift(shape, type.width), y: at.y };
    boxes.push(boxAround(middle, type.width, type.height));
  }
  return boxes;
}

/** From a label's point to the middle of its text. */
export function anchorShift(shape: Shape, width: number): number {
  if (shape.anchor === 'start') return width / 2;
  if (shape.anchor === 'end') return -width / 2;
  return 0;
}
