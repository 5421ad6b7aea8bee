import { type Px, segment } from './drawing-boxes.ts';
import { anchorShift, type Transform } from './drawing-layout.ts';
import type { Shape } from './drawing-list.ts';
import { TypesetText, typeset } from './drawing-text.tsx';

/** The pencil's hatchings. They are in screen pixels, so they neither grow nor blur with the zoom. */
export function Hatchings(props: { id: string }) {
  const { id } = props;
  return (
    <defs>
      <pattern
        id={`${id}-frame`}
        width="6"
        height="6"
        patternUnits="userSpaceOnUse"
        patternTransform="rotate(-52)"
      >
        <path class="hatch-line" d="M0 3H6" />
      </pattern>
      <pattern
        id={`${id}-end`}
        width="9"
        height="9"
        patternUnits="userSpaceOnUse"
        patternTransform="rotate(12)"
      >
        <path class="hatch-line" d="M0 2Q4.500 0 9 2M0 6.500Q4.500 4.500 9 6.500" />
      </pattern>
      <pattern
        id={`${id}-ground`}
        width="9"
        height="9"
        patternUnits="userSpaceOnUse"
        patternTransform="rotate(-45)"
      >
        <path class="hatch-ground" d="M0 4.500H9" />
      </pattern>
      <pattern id={`${id}-wall`} width="7" height="7" patternUnits="userSpaceOnUse">
        <path class="hatch-dot" d="M1.500 1.500h.01M5 5h.01" />
      </pattern>
    </defs>
  );
}

const hatchOf: Readonly<Record<string, string>> = {
  stud: 'frame',
  header: 'frame',
  hatch: 'end',
  floor: 'ground',
  wall: 'wall',
};

// Finished stock is struck with the line run past its corners; rough framing and floors are not.
const overrunning = new Set(['slab', 'casing', 'jamb', 'head']);
const overrun = 5;

export interface StockProps {
  shape: Shape;
  transform: Transform;
  id: string;
  figure: number;
}

/** Everything in the list but its dimensions and angles. */
export function Stock(props: StockProps) {
  const { shape, transform } = props;
  const points = shape.points.map((point) => transform.at(point));
  const said =
    shape.name === undefined
      ? { 'aria-hidden': 'true' as const }
      : { role: 'img' as const, 'aria-label': shape.name };
  const classes = `stock stock-${shape.role} stock-${shape.kind}`;
  // One element where it can be: a drawing has dozens of shapes, and a phone lays out each.
  switch (shape.kind) {
    case 'polygon': {
      const hatch = hatchOf[shape.role];
      return (
        <>
          <path
            class={classes}
            d={`${path(points)}Z`}
            {...(hatch !== undefined && { fill: `url(#${props.id}-${hatch})` })}
            {...said}
          />
          {overrunning.has(shape.role) && <path class="stock-overrun" d={overruns(points)} />}
        </>
      );
    }
    case 'polyline':
      return <path class={classes} d={path(points)} {...said} />;
    case 'label': {
      const [at] = points;
      if (at === undefined) return null;
      const type = typeset(shape.text ?? '', props.figure * 0.82, 400);
      const x = at.x + anchorShift(shape, type.width);
      return (
        <g
          class={`${classes} drawing-label`}
          role="img"
          aria-label={shape.name ?? shape.text ?? ''}
          transform={`translate(${x.toFixed(1)} ${at.y.toFixed(1)})`}
        >
          <TypesetText type={type} class="label-text" />
        </g>
      );
    }
    default:
      return null;
  }
}

function path(points: readonly Px[]): string {
  return points
    .map(({ x, y }, at) => `${at === 0 ? 'M' : 'L'}${x.toFixed(2)} ${y.toFixed(2)}`)
    .join('');
}

function overruns(points: readonly Px[]): string {
  let d = '';
  points.forEach((from, index) => {
    const to = points[(index + 1) % points.length];
    if (to === undefined) return;
    const length = Math.hypot(to.x - from.x, to.y - from.y);
    if (length < 3 * overrun) return;
    const x = ((to.x - from.x) / length) * overrun;
    const y = ((to.y - from.y) / length) * overrun;
    d += segment({ x: from.x - x, y: from.y - y }, from);
    d += segment(to, { x: to.x + x, y: to.y + y });
  });
  return d;
}
