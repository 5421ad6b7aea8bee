import { round, type Segment, segment } from './drawing-boxes.ts';
import type { Placed } from './drawing-layout.ts';
import { TypesetText } from './drawing-text.tsx';
import { PoleMarks } from './pole.tsx';

export interface TagProps {
  placed: Placed;
  name: string;
  selected: boolean;
  /** A shape with a key, in a drawing that is there to be touched. */
  touchable: boolean;
  /** The one shape the Tab key reaches; arrows walk to the others. */
  inTab: boolean;
  onFocus: () => void;
}

/** A dimension's or an angle's value, and what can be touched of it. */
export function PlacedTag(props: TagProps) {
  const { placed, selected, touchable } = props;
  if (!touchable && props.name === '') return null;
  const role = touchable
    ? {
        tabindex: props.inTab ? 0 : -1,
        role: 'button' as const,
        'aria-pressed': selected,
        onFocus: props.onFocus,
      }
    : { role: 'img' as const };
  return (
    <g
      class={classesOf(placed, selected, touchable)}
      data-index={placed.index}
      aria-label={props.name}
      {...role}
    >
      {touchable && <TouchArea placed={placed} />}
      {placed.kind === 'spot' && (
        <g transform={`translate(${round(placed.pole.left)} ${round(placed.pole.top)})`}>
          <PoleMarks states={placed.shape.marks ?? []} />
        </g>
      )}
      <Tag placed={placed} selected={selected} />
    </g>
  );
}

export function classesOf(placed: Placed, selected: boolean, touchable: boolean): string {
  const { shape } = placed;
  const classes = ['dim', `dim-${shape.state ?? 'computed'}`, `dim-of-${placed.kind}`];
  if (touchable) classes.push('dim-touch');
  if (selected) classes.push('dim-selected');
  if (shape.optional) classes.push('dim-optional');
  if (placed.crowded) classes.push('dim-crowded');
  if (placed.onStock) classes.push('tag-on-stock');
  return classes.join(' ');
}

function Tag(props: { placed: Placed; selected: boolean }) {
  const { placed } = props;
  const { tagWidth, tagHeight, turn, tag, shape } = placed;
  if (tagWidth === 0) return <BareFocus placed={placed} />;
  const left = -tagWidth / 2;
  const top = -tagHeight / 2;
  const turned = turn === 0 ? '' : ` rotate(${turn.toFixed(2)})`;
  return (
    <g class="tag" transform={`translate(${round(tag.x)} ${round(tag.y)})${turned}`}>
      <rect
        class="tag-paper"
        x={round(left)}
        y={round(top)}
        width={round(tagWidth)}
        height={round(tagHeight)}
      />
      {shape.state === 'disagree' && (
        <path
          class="tag-notch"
          d={`M${-left} ${top}L${-left - 9} 0L${-left} ${-top}Z`}
          transform="translate(11 0)"
        />
      )}
      <TypesetText type={placed.type} class="tag-text" />
      {shape.state === 'stale' && (
        <path class="tag-struck" d={`M${left + 1} ${-top - 3}L${-left - 1} ${top + 3}`} />
      )}
      {shape.state === 'next' && !props.selected && roomy(placed) && (
        <path class="tag-foot" d={`M${left - 18} -6L${left - 6} 0L${left - 18} 6`} />
      )}
    </g>
  );
}

function roomy(placed: Placed): boolean {
  if (placed.kind !== 'dim') return false;
  const [from, to] = placed.line;
  return Math.hypot(to.x - from.x, to.y - from.y) > placed.tagWidth + 72;
}

const least = 48;

/** Nothing is written, but the focus has to show where it is. */
function BareFocus(props: { placed: Placed }) {
  const at = middleOf(props.placed);
  return (
    <rect
      class="tag-focus"
      x={at.x - least / 4}
      y={at.y - least / 4}
      width={least / 2}
      height={least / 2}
    />
  );
}

function middleOf(placed: Placed) {
  if (placed.kind === 'angle') return placed.corner;
  if (placed.kind === 'spot') return placed.at;
  const [from, to] = placed.line;
  return { x: (from.x + to.x) / 2, y: (from.y + to.y) / 2 };
}

/**
 * What a finger may mean it by, one broad line over its own lines and its tag. The nearest is taken where
 * they overlap (drawing-touch.ts).
 */
function TouchArea(props: { placed: Placed }) {
  const { placed } = props;
  const at = middleOf(placed);
  const areas =
    placed.kind === 'spot'
      ? [placed.pole, ...(placed.crowded ? [] : placed.boxes)]
      : placed.crowded || placed.boxes.length === 0
        ? [{ left: at.x, right: at.x, top: at.y, bottom: at.y }]
        : placed.boxes;
  const over = areas.map(({ left, right, top, bottom }): Segment => {
    const [x, y] = [(left + right) / 2, (top + bottom) / 2];
    const wide = Math.max(right - left, bottom - top, least) / 2;
    return right - left < bottom - top
      ? [
          { x, y: y - wide },
          { x, y: y + wide },
        ]
      : [
          { x: x - wide, y },
          { x: x + wide, y },
        ];
  });
  return (
    <path
      class="dim-reach"
      stroke-width={least}
      d={[...placed.strokes, ...over].map(([from, to]) => segment(from, to)).join('')}
    />
  );
}
