import { useId, useMemo, useRef, useState } from 'preact/hooks';
import { t } from '../words/words.ts';
import { DimLine, DimTag } from './drawing-dim.tsx';
import { placeDims, transformOf } from './drawing-layout.ts';
import type { DrawingList, Shape } from './drawing-list.ts';
import { Hatchings, Stock } from './drawing-stock.tsx';
import { dimAt } from './drawing-touch.ts';
import { useFontsReady, useSize, useView } from './drawing-view.ts';
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
}

// In a strip this low the drawing only points at the dimension being taped: words would cover it.
const sketchUnder = 140;

// Lower still there is nothing left to recognize; the tape's own heading says what is being taken.
const nothingUnder = 90;

/** Draws a display list. Lines and letters keep their size on the screen whatever the scale. */
export function Drawing(props: DrawingProps) {
  const { list, selected, onTouch } = props;
  const id = useId();
  const ratio = list.width / Math.max(list.height, 1);
  const { ref, size } = useSize({ width: 640, height: 640 / ratio });
  const lettersHere = useFontsReady();
  const view = useView(list, props.focusOn, size);
  const svg = useRef<SVGSVGElement>(null);
  const figure = size.width < 560 ? 17 : 19;
  const sketch = size.height < sketchUnder;

  const { transform, dims } = useMemo(() => {
    const made = transformOf(list, size, view);
    return { transform: made, dims: placeDims(list, made, size, figure, selected) };
  }, [list, size, view, figure, selected, lettersHere]);

  const touchable = dims.filter((dim) => dim.shape.key !== undefined);
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
      ? dimAt(dims, {
          x: ((event.clientX - box.left) * size.width) / box.width,
          y: ((event.clientY - box.top) * size.height) / box.height,
        })
      : dims.find((dim) => String(dim.index) === indexOf(event.target));
    if (hit?.shape.key === undefined) return;
    setRoved(hit.shape.key);
    onTouch(hit.shape.key);
  };

  return (
    <figure class={props.fill ? 'drawing drawing-fill' : 'drawing'}>
      <div
        ref={ref}
        class="drawing-board"
        style={props.fill ? {} : { aspectRatio: `${list.width} / ${list.height}` }}
      >
        <svg
          ref={svg}
          class={size.height < nothingUnder ? 'drawing-sheet drawing-none' : 'drawing-sheet'}
          viewBox={`0 0 ${size.width} ${size.height}`}
          role="group"
          aria-label={list.title}
          aria-describedby={touchable.length > 0 ? `${id}-keys` : undefined}
          onClick={click}
          onKeyDown={key}
        >
          <Hatchings id={id} />
          {list.shapes.map((shape, index) =>
            shape.kind === 'dim' || (sketch && shape.kind === 'label') ? null : (
              <Stock
                key={shape.key ?? `${shape.role}-${index}`}
                shape={shape}
                transform={transform}
                id={id}
                figure={figure}
              />
            ),
          )}
          {dims.map((dim) => (
            <DimLine
              key={dim.shape.key ?? dim.index}
              dim={dim}
              selected={selected !== undefined && dim.shape.key === selected}
            />
          ))}
          {dims.map((dim) => (
            <DimTag
              key={dim.shape.key ?? dim.index}
              dim={dim}
              name={dimName(dim.shape)}
              selected={selected !== undefined && dim.shape.key === selected}
              inTab={dim === inTab}
              onFocus={() => setRoved(dim.shape.key)}
            />
          ))}
        </svg>
      </div>
      {touchable.length > 0 && (
        <p class="unseen" id={`${id}-keys`}>
          {t('drawing.keys')}
        </p>
      )}
      {list.exaggerated !== undefined && !sketch && (
        <figcaption class="drawing-said">
          {t('drawing.exaggerated', { times: list.exaggerated })}
        </figcaption>
      )}
    </figure>
  );
}

/** "Height, hinge side: 80 3/8, taken" or "Height, strike side: next to take". */
export function dimName(shape: Shape): string {
  const state = shape.state ?? 'computed';
  const name = shape.name ?? shape.text ?? '';
  const word = t(`reading.${state}`);
  if (state === 'missing' || state === 'next') return `${name}: ${word}`;
  return `${name}: ${shape.text ?? ''}, ${word}`;
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
