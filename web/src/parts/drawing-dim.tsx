import type { PlacedDim, Px } from './drawing-layout.ts';
import { TypesetText } from './drawing-text.tsx';

export interface DimProps {
  dim: PlacedDim;
  name: string;
  selected: boolean;
  /** The one dimension the Tab key reaches; arrows walk to the others. */
  inTab: boolean;
  onFocus: () => void;
}

const slash = 5.5;
const clear = 4;
const past = 6;
const outside = 12;

/**
 * A carpenter's dimension: a thin line, a slash at each end, the value breaking the line. All lines
 * are drawn under all values, so no line ever crosses a number.
 */
export function DimLine(props: { dim: PlacedDim; selected: boolean }) {
  const { dim } = props;
  const [from, to] = dim.line;
  const short = Math.hypot(to.x - from.x, to.y - from.y) < 18;
  return (
    <g class={classesOf(dim, props.selected)} aria-hidden="true">
      <path class="dim-witness" d={witnesses(dim)} />
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

/** The dimension's value and what can be touched of it. */
export function DimTag(props: DimProps) {
  const { dim, selected } = props;
  const touchable = dim.shape.key !== undefined;
  const role = touchable
    ? {
        tabindex: props.inTab ? 0 : -1,
        role: 'button' as const,
        'aria-pressed': selected,
        onFocus: props.onFocus,
      }
    : { role: 'img' as const };
  return (
    <g class={classesOf(dim, selected)} data-index={dim.index} aria-label={props.name} {...role}>
      {touchable && <TouchArea dim={dim} />}
      <Tag dim={dim} selected={selected} />
    </g>
  );
}

function classesOf(dim: PlacedDim, selected: boolean): string {
  const classes = ['dim', `dim-${dim.shape.state ?? 'computed'}`];
  if (dim.shape.key !== undefined) classes.push('dim-touch');
  if (selected) classes.push('dim-selected');
  if (dim.crowded) classes.push('dim-crowded');
  if (dim.onStock) classes.push('tag-on-stock');
  return classes.join(' ');
}

function Tag(props: { dim: PlacedDim; selected: boolean }) {
  const { dim } = props;
  const { tagWidth, tagHeight, turn, tag, shape } = dim;
  const left = -tagWidth / 2;
  const top = -tagHeight / 2;
  const turned = turn === 0 ? '' : ` rotate(${turn.toFixed(2)})`;
  return (
    <g class="tag" transform={`translate(${round(tag.x)} ${round(tag.y)})${turned}`}>
      <rect
        class="tag-focus"
        x={left - 4}
        y={top - 4}
        width={tagWidth + 8}
        height={tagHeight + 8}
      />
      <rect class="tag-paper" x={left} y={top} width={tagWidth} height={tagHeight} />
      {shape.state === 'disagree' && (
        <path
          class="tag-notch"
          d={`M${-left} ${top}L${-left - 9} 0L${-left} ${-top}Z`}
          transform="translate(11 0)"
        />
      )}
      <TypesetText type={dim.type} class="tag-text" />
      {shape.state === 'stale' && (
        <path class="tag-struck" d={`M${left + 1} ${-top - 3}L${-left - 1} ${top + 3}`} />
      )}
      {shape.state === 'next' && !props.selected && roomy(dim) && (
        <path class="tag-foot" d={`M${left - 18} -6L${left - 6} 0L${left - 18} 6`} />
      )}
    </g>
  );
}

function roomy(dim: PlacedDim): boolean {
  const [from, to] = dim.line;
  return Math.hypot(to.x - from.x, to.y - from.y) > dim.tagWidth + 72;
}

const least = 48;

function TouchArea(props: { dim: PlacedDim }) {
  const { dim } = props;
  const [from, to] = dim.line;
  return (
    <>
      <path class="dim-reach" d={segment(from, to)} />
      {(dim.crowded ? [] : dim.boxes).map((box) => {
        const width = Math.max(box.right - box.left, least);
        const height = Math.max(box.bottom - box.top, least);
        return (
          <rect
            key={`${box.left} ${box.top}`}
            class="dim-reach"
            x={(box.left + box.right - width) / 2}
            y={(box.top + box.bottom - height) / 2}
            width={width}
            height={height}
          />
        );
      })}
    </>
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

export function segment(from: Px, to: Px): string {
  return `M${round(from.x)} ${round(from.y)}L${round(to.x)} ${round(to.y)}`;
}

function round(value: number): number {
  return Math.round(value * 100) / 100;
}
