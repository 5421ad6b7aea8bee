import { segment } from './drawing-dim.tsx';
import { anchorShift, type Px, type Transform } from './drawing-layout.ts';
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

/** Everything in the list but its dimensions. */
export function Stock(props: StockProps) {
  const { shape, transform } = props;
  const points = shape.points.map((point) => transform.at(point));
  const said =
    shape.name === undefined
      ? { 'aria-hidden': 'true' as const }
      : { role: 'img' as const, 'aria-label': shape.name };
  const classes = `stock stock-${shape.role} stock-${shape.state ?? 'drawn'}`;
  switch (shape.kind) {
    case 'polygon': {
      const hatch = hatchOf[shape.role];
      const d = `${path(points)}Z`;
      return (
        <g class={classes} {...said}>
          <path class="stock-face" d={d} />
          {hatch !== undefined && (
            <path class="stock-hatch" d={d} fill={`url(#${props.id}-${hatch})`} />
          )}
          <path class="stock-edge" d={d} vector-effect="non-scaling-stroke" />
          {overrunning.has(shape.role) && <path class="stock-overrun" d={overruns(points)} />}
        </g>
      );
    }
    case 'polyline':
      return (
        <g class={classes} {...said}>
          <path class="stock-edge" d={path(points)} vector-effect="non-scaling-stroke" />
        </g>
      );
    case 'angle':
      return <Angle {...props} points={points} classes={classes} />;
    case 'label': {
      const [at] = points;
      if (at === undefined) return null;
      const type = typeset(shape.text ?? '', props.figure * 0.82, 500);
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

/** Three points: an arm, the corner, the other arm. The value stands in the opening. */
function Angle(props: StockProps & { points: readonly Px[]; classes: string }) {
  const [one, corner, two] = props.points;
  if (one === undefined || corner === undefined || two === undefined) return null;
  const from = Math.atan2(one.y - corner.y, one.x - corner.x);
  const to = Math.atan2(two.y - corner.y, two.x - corner.x);
  let sweep = to - from;
  while (sweep > Math.PI) sweep -= 2 * Math.PI;
  while (sweep < -Math.PI) sweep += 2 * Math.PI;
  const radius = 22;
  const on = (angle: number, distance: number): Px => ({
    x: corner.x + Math.cos(angle) * distance,
    y: corner.y + Math.sin(angle) * distance,
  });
  const start = on(from, radius);
  const end = on(to, radius);
  const type = typeset(props.shape.text ?? '', props.figure * 0.86, 650);
  const text = on(from + sweep / 2, radius + 8 + type.width / 2);
  return (
    <g
      class={`${props.classes} drawing-angle`}
      role="img"
      aria-label={props.shape.name ?? props.shape.text ?? ''}
    >
      <path
        class="angle-arc"
        d={`M${start.x} ${start.y}A${radius} ${radius} 0 0 ${sweep > 0 ? 1 : 0} ${end.x} ${end.y}`}
      />
      <g transform={`translate(${text.x.toFixed(1)} ${text.y.toFixed(1)})`}>
        <rect
          class="angle-paper"
          x={-type.width / 2 - 3}
          y={-type.height / 2 - 1}
          width={type.width + 6}
          height={type.height + 2}
        />
        <TypesetText type={type} class="label-text" />
      </g>
    </g>
  );
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
