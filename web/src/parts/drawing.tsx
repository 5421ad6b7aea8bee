import { useId, useMemo, useRef, useState } from 'preact/hooks';
import { t } from '../words/words.ts';
import { AngleArc, DimLine } from './drawing-dim.tsx';
import { type Placed, placeDims, transformOf } from './drawing-layout.ts';
import type { DrawingList, Shape } from './drawing-list.ts';
import { Hatchings, Stock } from './drawing-stock.tsx';
import { PlacedTag } from './drawing-tag.tsx';
import { dimAt } from './drawing-touch.ts';
import { useSize, useView, useWhole } from './drawing-view.ts';
import './drawing.css';

export type { DrawingList, ListPoint, Shape, ShapeKind, ShapeState } from './drawing-list.ts';

export interface DrawingProps {
  list: DrawingList;
  /** A dimension was touched, or Enter pressed on it. */
  onTouch?: (key: string) => void;
  /** The dimension being taped. */
  selected?: string;
  /** Brings this dimension close; without it the whole drawing shows. */
  focusOn?: string;
  /** The drawing takes the height its box has, instead of asking for its own. */
  fill?: boolean;
  /** What can be touched is pieces to cut, not readings: their states are said in other words. */
  pieces?: boolean;
}

// Over the tape a drawing has the height the tape leaves. This small, as drawn in either direction, it
// writes only what matters,
const compactUnder = 300;
const compactWide = 270;
// lower it only points at the dimension being taped, since words would cover it,
const sketchUnder = 140;
// and lower still there is nothing left to recognize; the tape's own heading says what is taken.
const nothingUnder = 90;

/** Draws a display list. Lines and letters keep their size on the screen whatever the scale. */
export function Drawing(props: DrawingProps) {
  // A wall run has no drawing: the service sends it an empty list.
  if ((props.list.shapes ?? []).length === 0) return null;
  return <Board {...props} />;
}

function Board(props: DrawingProps) {
  const { list, selected, onTouch, fill = false, pieces = false } = props;
  const id = useId();
  const ratio = list.width / Math.max(list.height, 1);
  const { ref, size, known } = useSize({ width: 640, height: 640 / ratio });
  const view = useView(list, props.focusOn, size);
  const whole = useWhole(known);
  const svg = useRef<SVGSVGElement>(null);
  const figure = size.width < 560 ? 17 : 19;
  const touched = onTouch !== undefined;
  const rest = touched && whole;

  const { transform, placed, sketch } = useMemo(() => {
    const made = transformOf(list, size, view);
    const wide = list.width * made.scale;
    const small = Math.min(size.width, size.height) < compactUnder || (fill && wide < compactWide);
    const placing = {
      figure,
      selected,
      compact: fill && small,
      // What nobody has to take is there to be touched: on paper or in a small drawing it is noise.
      spare: small || !rest,
    };
    return {
      transform: made,
      placed: known ? placeDims(list, made, size, placing) : [],
      sketch: fill && (size.height < sketchUnder || wide < compactWide),
    };
  }, [list, size, known, view, figure, selected, fill, rest]);

  const isTouchable = ({ shape }: Placed) => touched && shape.key !== undefined;
  const isSelected = ({ shape }: Placed) => selected !== undefined && shape.key === selected;
  const touchable = placed.filter(isTouchable);
  const [roved, setRoved] = useState<string | undefined>(undefined);
  const inTab =
    touchable.find(({ shape }) => shape.key === (roved ?? selected)) ??
    touchable.find(({ shape }) => shape.state === 'next') ??
    touchable[0];

  const key = (event: KeyboardEvent) => {
    const at = touchable.findIndex(({ shape }) => shape.key === inTab?.shape.key);
    if (event.key === 'Enter' || event.key === ' ') {
      event.preventDefault();
      if (inTab?.shape.key !== undefined) onTouch?.(inTab.shape.key);
      return;
    }
    const to = step(event.key, at, touchable.length);
    const dim = to === null ? undefined : touchable[to];
    if (dim === undefined) return;
    event.preventDefault();
    setRoved(dim.shape.key);
    svg.current?.querySelector<SVGGElement>(`[data-index="${dim.index}"]`)?.focus();
  };

  const click = (event: MouseEvent) => {
    const box = svg.current?.getBoundingClientRect();
    if (box === undefined || onTouch === undefined) return;
    // A screen reader's press has no place on the screen: it means the element it is on.
    const byPointer = event.detail > 0 && box.width > 0;
    const hit = byPointer
      ? dimAt(placed, {
          x: ((event.clientX - box.left) * size.width) / box.width,
          y: ((event.clientY - box.top) * size.height) / box.height,
        })
      : placed.find((dim) => String(dim.index) === indexOf(event.target));
    if (hit?.shape.key === undefined) return;
    setRoved(hit.shape.key);
    onTouch(hit.shape.key);
  };

  return (
    <figure class={fill ? 'drawing drawing-fill' : 'drawing'}>
      <div
        ref={ref}
        class="drawing-board"
        style={fill ? {} : { aspectRatio: `${list.width} / ${list.height}` }}
      >
        <svg
          ref={svg}
          class={
            fill && size.height < nothingUnder ? 'drawing-sheet drawing-none' : 'drawing-sheet'
          }
          viewBox={`0 0 ${size.width} ${size.height}`}
          role="group"
          aria-label={list.title}
          aria-describedby={touchable.length > 0 ? `${id}-keys` : undefined}
          onClick={click}
          onKeyDown={key}
        >
          <Hatchings id={id} />
          {(known ? list.shapes : []).map((shape, index) =>
            shape.kind === 'dim' ||
            shape.kind === 'angle' ||
            shape.kind === 'spot' ||
            (sketch && shape.kind === 'label') ? null : (
              <Stock
                key={shape.key ?? `${shape.role}-${index}`}
                shape={shape}
                transform={transform}
                id={id}
                figure={figure}
              />
            ),
          )}
          {placed.map((each) => {
            const said = { selected: isSelected(each), touchable: isTouchable(each) };
            if (each.kind === 'spot') return null;
            return each.kind === 'dim' ? (
              <DimLine key={each.index} dim={each} {...said} />
            ) : (
              <AngleArc key={each.index} angle={each} {...said} />
            );
          })}
          {placed.map((each) => (
            <PlacedTag
              key={each.index}
              placed={each}
              name={dimName(each.shape, pieces)}
              selected={isSelected(each)}
              touchable={isTouchable(each)}
              inTab={each === inTab}
              onFocus={() => setRoved(each.shape.key)}
            />
          ))}
        </svg>
      </div>
      {touchable.length > 0 && (
        <p class="unseen" id={`${id}-keys`}>
          {t('drawing.keys')}
        </p>
      )}
      {list.exaggerated !== undefined && !(fill && size.height < sketchUnder) && (
        <figcaption class="drawing-said">
          {t('drawing.exaggerated', { times: list.exaggerated })}
        </figcaption>
      )}
    </figure>
  );
}

/** "Height, hinge side: 80 3/8, taken" or "Height, strike side: next to take". */
export function dimName(shape: Shape, piece = false): string {
  const text = shape.text ?? '';
  const name = shape.name ?? text;
  const state = shape.state ?? 'computed';
  // A mark or a miter is neither a reading nor a piece: its name and its value say all.
  if (shape.key === undefined && state === 'computed') {
    return name.endsWith(text) ? name : `${name}: ${text}`;
  }
  // An item's name says where it stands itself.
  if (shape.kind === 'spot') return name;
  // A length that fails to close is no reading either.
  if (shape.role === 'closing') return `${name}: ${text}`;
  if (shape.optional) return `${name}: ${t('drawing.optional')}`;
  if (state === 'disagree' && shape.key?.includes('_stretch_')) {
    return `${name}: ${text}, ${t('reading.apart')}`;
  }
  const word = t(piece ? `drawing.piece.${state}` : `reading.${state}`);
  if (state === 'missing' || state === 'next') return `${name}: ${word}`;
  return `${name}: ${text}, ${word}`;
}

function step(key: string, at: number, count: number): number | null {
  switch (key) {
    case 'ArrowRight':
    case 'ArrowDown':
      return Math.min(at + 1, count - 1);
    case 'ArrowLeft':
    case 'ArrowUp':
      return Math.max(at - 1, 0);
    case 'Home':
      return 0;
    case 'End':
      return count - 1;
    default:
      return null;
  }
}

function indexOf(target: EventTarget | null): string | undefined {
  if (!(target instanceof Element)) return undefined;
  return target.closest('[data-index]')?.getAttribute('data-index') ?? undefined;
}
