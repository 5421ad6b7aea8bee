import type { DrawingList, ListPoint, Shape } from './drawing-list.ts';
import { type Typeset, typeset } from './drawing-text.tsx';

export interface Px {
  readonly x: number;
  readonly y: number;
}

export interface Box {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

export interface Size {
  readonly width: number;
  readonly height: number;
}

/** Drawing units to screen pixels. `zoom` 1 fits the whole drawing; the center is in drawing units. */
export interface View {
  readonly zoom: number;
  readonly center: Px;
}

export interface Transform {
  readonly scale: number;
  at(point: ListPoint): Px;
}

/** Room for tags that stand outside the drawn shapes, in pixels. */
const margin = 14;

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

export interface PlacedDim {
  readonly shape: Shape;
  readonly index: number;
  /** The measured points, and the ends of the dimension line. */
  readonly points: readonly [Px, Px];
  readonly line: readonly [Px, Px];
  readonly direction: Px;
  readonly normal: Px;
  readonly tag: Px;
  readonly turn: number;
  readonly type: Typeset;
  readonly tagWidth: number;
  readonly tagHeight: number;
  /** The tag stands off its line and is tied to it by a leader. */
  readonly leader: boolean;
  /** No place was found for the tag; the line is drawn, the value shows with the focus. */
  readonly crowded: boolean;
  /** The tag lies on finished stock, whose face is lighter than the page. */
  readonly onStock: boolean;
  /** What the tag covers, in upright boxes. */
  readonly boxes: readonly Box[];
}

const tagPad = 4;

function isName(shape: Shape): boolean {
  return shape.state === 'missing' || shape.state === 'next';
}

/** Weight says what is known: a tape reading is bold, a worked-out length is not. */
export function tagWeight(shape: Shape): number {
  if (isName(shape)) return shape.state === 'next' ? 650 : 500;
  return shape.state === 'computed' ? 450 : 700;
}

/**
 * Puts every dimension's tag where it can be read: on its line where there is room, else beside it
 * on a leader, and clear of the tags placed before it. The next reading and the selected one choose
 * first, then values, then the names of readings still to take.
 */
export function placeDims(
  list: DrawingList,
  transform: Transform,
  size: Size,
  figure: number,
  selected: string | undefined,
): PlacedDim[] {
  const order = list.shapes
    .map((shape, index) => ({ shape, index }))
    .filter(({ shape }) => shape.kind === 'dim' && shape.points.length >= 2)
    .sort((a, b) => rank(a.shape, selected) - rank(b.shape, selected) || a.index - b.index);
  const taken: Box[] = labelBoxes(list, transform, figure);
  const faces = list.shapes
    .filter(({ kind, role }) => kind === 'polygon' && litStock.has(role))
    .map(({ points }) => points.map((point) => transform.at(point)));
  const compact = Math.min(size.width, size.height) < compactUnder;
  const placed: PlacedDim[] = [];
  for (const { shape, index } of order) {
    const matters = rank(shape, selected) < 2;
    const dim = placeDim(shape, index, { transform, size, figure, taken, faces, matters, compact });
    if (!dim.crowded) taken.push(...dim.boxes);
    placed.push(dim);
  }
  return placed.sort((a, b) => a.index - b.index);
}

interface Room {
  readonly transform: Transform;
  readonly size: Size;
  readonly figure: number;
  readonly taken: readonly Box[];
  readonly faces: readonly (readonly Px[])[];
  /** The selected or the next reading: always written out. */
  readonly matters: boolean;
  /** A small drawing over the tape only shows where things are. */
  readonly compact: boolean;
}

const compactUnder = 300;
const litStock = new Set(['slab', 'casing', 'jamb', 'head', 'stop']);

function rank(shape: Shape, selected: string | undefined): number {
  if (shape.key !== undefined && shape.key === selected) return 0;
  if (shape.state === 'next') return 1;
  return isName(shape) ? 3 : 2;
}

function placeDim(shape: Shape, index: number, room: Room): PlacedDim {
  const { transform, size, figure, taken } = room;
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

  const type = typeset(shape.text ?? '', isName(shape) ? figure * 0.82 : figure, tagWeight(shape));
  const tagWidth = type.width + 2 * tagPad;
  const tagHeight = type.height + 2 * tagPad - 2;
  // A name lies along its line; a value stands upright wherever it is.
  const turn = isName(shape) ? upright(direction) : 0;
  const along = extent(direction, turn, tagWidth, tagHeight);
  const across = extent(normal, turn, tagWidth, tagHeight);

  let best: (Spot & { boxes: Box[]; covers: number }) | undefined;
  for (const spot of spots(from, to, direction, normal, length, along, across)) {
    const boxes = tagBoxes(spot.tag, turn, tagWidth, tagHeight);
    const pull = intoView(boxes, size);
    const tag = { x: spot.tag.x + pull.x, y: spot.tag.y + pull.y };
    const moved = boxes.map((box) => shiftBox(box, pull.x, pull.y));
    const cost =
      spot.cost +
      Math.hypot(pull.x, pull.y) +
      cutOff(moved, size) +
      overlap(moved, taken, 0) * 4 +
      overlap(moved, taken, 6) * 0.2;
    if (best === undefined || cost < best.cost - 1e-9) {
      best = { ...spot, tag, boxes: moved, cost, covers: overlap(moved, taken, 0) };
    }
  }
  const { tag, leader, onLine, boxes, covers } = best ?? {
    tag: from,
    leader: false,
    onLine: false,
    boxes: [],
    covers: 0,
  };
  const crowded =
    !room.matters &&
    (covers > 0.06 * tagWidth * tagHeight ||
      (room.compact && (!onLine || covers > 0 || shape.state !== 'taken')));
  return {
    shape,
    index,
    points: [first, last],
    line: [from, to],
    direction,
    normal,
    tag,
    turn,
    type,
    tagWidth,
    tagHeight,
    leader,
    crowded,
    onStock: room.faces.some((face) => inside(tag, face)),
    boxes,
  };
}

function inside(point: Px, outline: readonly Px[]): boolean {
  let within = false;
  outline.forEach((a, index) => {
    const b = outline[(index + 1) % outline.length] ?? a;
    if (a.y > point.y !== b.y > point.y) {
      const x = a.x + ((point.y - a.y) / (b.y - a.y)) * (b.x - a.x);
      if (point.x < x) within = !within;
    }
  });
  return within;
}

interface Spot {
  readonly tag: Px;
  readonly leader: boolean;
  /** Breaks the line itself, which is where a reader looks first. */
  readonly onLine: boolean;
  readonly cost: number;
}

/** Where a tag may stand, best first: on the line, past either end, then beside it. */
function spots(
  from: Px,
  to: Px,
  direction: Px,
  normal: Px,
  length: number,
  along: number,
  across: number,
): Spot[] {
  const middle = { x: (from.x + to.x) / 2, y: (from.y + to.y) / 2 };
  const found: Spot[] = [];
  const room = length - along - 16;
  if (room > 0) {
    for (const share of [0, 0.2, -0.2, 0.4, -0.4, 0.6, -0.6, 0.8, -0.8, 1, -1]) {
      found.push({
        tag: shift(middle, direction, (share * room) / 2),
        leader: false,
        onLine: true,
        cost: Math.abs(share) * 6,
      });
    }
  } else {
    const past = length / 2 + along / 2 + 14;
    found.push({ tag: shift(middle, direction, past), leader: false, onLine: false, cost: 2 });
    found.push({ tag: shift(middle, direction, -past), leader: false, onLine: false, cost: 3 });
    // Over its own line, hiding it: only for a tag with nowhere better to be.
    if (length > 48) found.push({ tag: middle, leader: false, onLine: false, cost: 12 });
  }
  for (const [step, cost] of [
    [1, 14],
    [1.8, 26],
    [2.6, 40],
  ] as const) {
    for (const sign of [1, -1]) {
      for (const slide of [0, 0.5, -0.5]) {
        const beside = shift(middle, normal, sign * step * (across / 2 + 12));
        found.push({
          tag: shift(beside, direction, slide * Math.max(along, 24)),
          leader: true,
          onLine: false,
          cost: cost + Math.abs(slide) * 4,
        });
      }
    }
  }
  return found;
}

function shift(point: Px, by: Px, distance: number): Px {
  return { x: point.x + by.x * distance, y: point.y + by.y * distance };
}

function shiftBox(box: Box, x: number, y: number): Box {
  return { left: box.left + x, right: box.right + x, top: box.top + y, bottom: box.bottom + y };
}

/** The angle, in degrees, at which text along a line is still read from below or from the right. */
function upright(direction: Px): number {
  const angle = (Math.atan2(direction.y, direction.x) * 180) / Math.PI;
  if (angle > 89) return angle - 180;
  if (angle < -91) return angle + 180;
  return angle;
}

function extent(axis: Px, turn: number, width: number, height: number): number {
  const angle = (turn * Math.PI) / 180;
  const cos = Math.cos(angle);
  const sin = Math.sin(angle);
  return (
    Math.abs(axis.x * cos + axis.y * sin) * width + Math.abs(-axis.x * sin + axis.y * cos) * height
  );
}

/** A turned tag is covered by a row of small upright boxes, an upright one by a single box. */
function tagBoxes(center: Px, turn: number, width: number, height: number): Box[] {
  if (Math.abs(turn) < 1) return [boxAround(center, width, height)];
  const angle = (turn * Math.PI) / 180;
  const count = Math.max(1, Math.ceil(width / height));
  const step = width / count;
  const half = (Math.abs(Math.cos(angle)) + Math.abs(Math.sin(angle))) / 2;
  return Array.from({ length: count }, (_, index) => {
    const distance = (index + 0.5) * step - width / 2;
    const at = {
      x: center.x + Math.cos(angle) * distance,
      y: center.y + Math.sin(angle) * distance,
    };
    return boxAround(at, Math.max(step, height) * half * 2 * 0.8, height * half * 2 * 0.8);
  });
}

function boxAround(center: Px, width: number, height: number): Box {
  return {
    left: center.x - width / 2,
    right: center.x + width / 2,
    top: center.y - height / 2,
    bottom: center.y + height / 2,
  };
}

function intoView(boxes: readonly Box[], size: Size): Px {
  const edge = 2;
  const left = Math.min(...boxes.map((box) => box.left));
  const right = Math.max(...boxes.map((box) => box.right));
  const top = Math.min(...boxes.map((box) => box.top));
  const bottom = Math.max(...boxes.map((box) => box.bottom));
  // Only tags at the edge are pulled in; one far outside belongs to a part that is out of sight.
  const reach = 90;
  const x = left < edge ? edge - left : right > size.width - edge ? size.width - edge - right : 0;
  const y = top < edge ? edge - top : bottom > size.height - edge ? size.height - edge - bottom : 0;
  return Math.abs(x) > reach || Math.abs(y) > reach ? { x: 0, y: 0 } : { x, y };
}

/** A tag cut off by the drawing's edge is as bad as one under another. */
function cutOff(boxes: readonly Box[], size: Size): number {
  const out = boxes.some(
    (box) => box.left < 0 || box.top < 0 || box.right > size.width || box.bottom > size.height,
  );
  return out ? 60 : 0;
}

function overlap(boxes: readonly Box[], taken: readonly Box[], grow: number): number {
  let area = 0;
  for (const box of boxes) {
    for (const other of taken) {
      const width = Math.min(box.right, other.right) - Math.max(box.left, other.left) + grow;
      const height = Math.min(box.bottom, other.bottom) - Math.max(box.top, other.top) + grow;
      if (width > 0 && height > 0) area += width * height;
    }
  }
  return area;
}

function labelBoxes(list: DrawingList, transform: Transform, figure: number): Box[] {
  const boxes: Box[] = [];
  for (const shape of list.shapes) {
    const point = shape.points[0];
    if (shape.kind !== 'label' || point === undefined) continue;
    const type = typeset(shape.text ?? '', figure * 0.82, 500);
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
