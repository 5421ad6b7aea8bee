import { type Px, shift } from './drawing-boxes.ts';

/** A place a tag may stand. */
export interface Spot {
  readonly tag: Px;
  /** The tag stands off its line and is tied to it by a leader. */
  readonly leader: boolean;
  /** Breaks the line itself, which is where a reader looks first. */
  readonly onLine: boolean;
  readonly cost: number;
}

export interface DimLine {
  readonly from: Px;
  readonly to: Px;
  readonly direction: Px;
  readonly normal: Px;
  readonly length: number;
  /** What the tag takes along the line and across it. */
  readonly along: number;
  readonly across: number;
  /** Where on the line the tag best stands, percent from its first point. */
  readonly best: number;
  /** The name of a reading still to take, which lies along its line. */
  readonly name: boolean;
}

/**
 * Where a dimension's tag may stand: on its line, past either end, then beside it. One after another: most
 * stand where they are tried first.
 */
export function* spotsOfDim(line: DimLine): Generator<Spot> {
  const { from, to, direction, normal, length, along, across } = line;
  const middle = { x: (from.x + to.x) / 2, y: (from.y + to.y) / 2 };
  const slack = (length - along - 12) / 2;
  const on = (tag: Px, onLine: boolean, cost: number): Spot => ({
    tag,
    leader: false,
    onLine,
    cost,
  });
  if (slack > 0) {
    const best = Math.min(Math.max((line.best / 100 - 0.5) * length, -slack), slack);
    yield on(shift(middle, direction, best), true, 0);
    for (let eighth = -8; eighth <= 8; eighth++) {
      const at = (eighth / 8) * slack;
      yield on(shift(middle, direction, at), true, (Math.abs(at - best) / slack) * 6);
    }
  } else {
    const past = length / 2 + along / 2 + 14;
    yield on(shift(middle, direction, past), false, line.name ? 9 : 2);
    yield on(shift(middle, direction, -past), false, line.name ? 10 : 3);
    // Over its own line, hiding it. A name a little too long still shows both ends of its line.
    if (length > 48) yield on(middle, false, line.name && length > along * 0.8 ? 4 : 12);
  }
  for (const [step, cost] of [
    [1, 14],
    [1.8, 26],
    [2.6, 40],
  ] as const) {
    for (const sign of [1, -1]) {
      for (const slide of [0, 0.5, -0.5]) {
        const beside = shift(middle, normal, sign * step * (across / 2 + 12));
        yield {
          tag: shift(beside, direction, slide * Math.max(along, 24)),
          leader: true,
          onLine: false,
          cost: cost + Math.abs(slide) * 4,
        };
      }
    }
  }
}

export interface Corner {
  readonly corner: Px;
  /** Direction of the first arm, and the turn to the other, in radians. */
  readonly from: number;
  readonly sweep: number;
  readonly radius: number;
}

/** Where an angle's tag may stand: in its opening, as near the arc as it is clear. */
export function spotsOfAngle(arc: Corner, width: number, height: number): Spot[] {
  const found: Spot[] = [];
  // Between two jambs a hand's width apart both corners' values have to fit side by side.
  if (Math.abs(arc.sweep) > 1.2) {
    const middle = arc.from + arc.sweep / 2;
    const [right, down] = [Math.sign(Math.cos(middle)), Math.sign(Math.sin(middle))];
    const { x, y } = arc.corner;
    const [near, far] = [2, arc.radius + 2];
    const add = (dx: number, dy: number, cost: number) => {
      const tag = { x: x + right * (dx + width / 2), y: y + down * (dy + height / 2) };
      found.push({ tag, leader: false, onLine: true, cost });
    };
    add(near, far, 0);
    add(near, far + 10, 4);
    add(far, near, 6);
  }
  for (const share of [0.5, 0.35, 0.65, 0.2, 0.8]) {
    const turn = arc.from + arc.sweep * share;
    const out = { x: Math.cos(turn), y: Math.sin(turn) };
    const reach = (Math.abs(out.x) * width + Math.abs(out.y) * height) / 2;
    for (const past of [3, 9, 16, 26]) {
      found.push({
        tag: shift(arc.corner, out, arc.radius + past + reach),
        leader: false,
        onLine: true,
        cost: 1 + past * 0.4 + Math.abs(share - 0.5) * 12,
      });
    }
  }
  return found;
}
