import { type Px, round, segment } from './drawing-boxes.ts';
import type { PlacedAngle, PlacedDim } from './drawing-layout.ts';
import { classesOf } from './drawing-tag.tsx';

const slash = 5.5;
const clear = 4;
const past = 6;
const outside = 12;

/**
 * A carpenter's dimension: a thin line, a slash at each end, the value breaking the line. All lines
 * are drawn under all values, so no line ever crosses a number.
 */
export function DimLine(props: { dim: PlacedDim; selected: boolean; touchable: boolean }) {
  const { dim } = props;
  const [from, to] = dim.line;
  const short = Math.hypot(to.x - from.x, to.y - from.y) < 18;
  const witness = witnesses(dim);
  return (
    <g class={classesOf(dim, props.selected, props.touchable)} aria-hidden="true">
      {witness !== '' && <path class="dim-witness" d={witness} />}
      <path
        class="dim-line"
        d={
          short
            ? segment(move(from, dim.direction, -outside), move(to, dim.direction, outside))
            : segment(from, to)
        }
      />
      {dim.leader && !dim.crowded && (
        <path class="dim-leader" d={segment(middle(from, to), dim.tag)} />
      )}
      <path class="dim-slash" d={slashAt(from, dim.direction) + slashAt(to, dim.direction)} />
    </g>
  );
}

/** An angle's arc. */
export function AngleArc(props: { angle: PlacedAngle; selected: boolean; touchable: boolean }) {
  const { angle } = props;
  const { corner, from, sweep, radius } = angle;
  const on = (turn: number) =>
    `${round(corner.x + Math.cos(turn) * radius)} ${round(corner.y + Math.sin(turn) * radius)}`;
  return (
    <g class={classesOf(angle, props.selected, props.touchable)} aria-hidden="true">
      <path
        class="angle-arc"
        d={`M${on(from)}A${round(radius)} ${round(radius)} 0 0 ${sweep > 0 ? 1 : 0} ${on(from + sweep)}`}
      />
    </g>
  );
}

function witnesses(dim: PlacedDim): string {
  return dim.points
    .map((point, end) => {
      const tip = dim.line[end === 0 ? 0 : 1];
      const dx = tip.x - point.x;
      const dy = tip.y - point.y;
      const length = Math.hypot(dx, dy);
      if (length < clear + past) return '';
      const along = { x: dx / length, y: dy / length };
      return segment(move(point, along, clear), move(tip, along, past));
    })
    .join('');
}

function slashAt(point: Px, direction: Px): string {
  const turned = {
    x: (direction.x + direction.y) * Math.SQRT1_2,
    y: (direction.y - direction.x) * Math.SQRT1_2,
  };
  return segment(move(point, turned, -slash), move(point, turned, slash));
}

function middle(from: Px, to: Px): Px {
  return { x: (from.x + to.x) / 2, y: (from.y + to.y) / 2 };
}

function move(point: Px, by: Px, distance: number): Px {
  return { x: point.x + by.x * distance, y: point.y + by.y * distance };
}
