import type { ComponentChildren } from 'preact';
import { useRef } from 'preact/hooks';
import { t } from '../words/words.ts';
import './spot.css';

export interface At {
  readonly x: number;
  readonly y: number;
}

const whole = 1000;
const stride = 25;
const cross = 'M-17 0A17 17 0 1 1 17 0A17 17 0 1 1 -17 0M-23 0H-9M9 0H23M0 -23V-9M0 9V23';

/**
 * A drawing or a photo to point at: one touch marks the spot, arrow keys move it. In thousandths of
 * its width and height. Without onMark it shows the spot.
 */
export function Spot(props: {
  children: ComponentChildren;
  at: At | null;
  onMark?: (at: At) => void;
  name: string;
}) {
  const box = useRef<HTMLDivElement>(null);
  const { at, onMark } = props;
  const mark = (x: number, y: number) =>
    onMark?.({
      x: Math.round(Math.min(Math.max(x, 0), whole)),
      y: Math.round(Math.min(Math.max(y, 0), whole)),
    });

  const touch = (event: MouseEvent) => {
    const edge = box.current?.getBoundingClientRect();
    // A screen reader's press has no place: the middle, from where the arrows move it.
    if (edge === undefined || edge.width === 0 || event.detail === 0) return mark(500, 500);
    mark(
      ((event.clientX - edge.left) / edge.width) * whole,
      ((event.clientY - edge.top) / edge.height) * whole,
    );
  };

  const key = (event: KeyboardEvent) => {
    const from = at ?? { x: 500, y: 500 };
    const by = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[
      event.key
    ];
    if (by === undefined) return;
    event.preventDefault();
    mark(from.x + stride * (by[0] ?? 0), from.y + stride * (by[1] ?? 0));
  };

  const drawn = (
    <>
      {props.children}
      {at !== null && (
        <svg
          class="spot-mark"
          style={{ left: `${at.x / 10}%`, top: `${at.y / 10}%` }}
          viewBox="-24 -24 48 48"
          aria-hidden="true"
        >
          <path class="spot-halo" d={cross} />
          <path d={cross} />
        </svg>
      )}
    </>
  );
  if (onMark === undefined) {
    return (
      <div class="spot" ref={box}>
        {drawn}
      </div>
    );
  }
  const where =
    at === null
      ? t('walk.spot.none')
      : t('walk.spot.at', { across: Math.round(at.x / 10), down: Math.round(at.y / 10) });
  return (
    <div class="spot" ref={box}>
      {drawn}
      <button
        type="button"
        class="spot-touch"
        aria-label={`${props.name}. ${where}`}
        onClick={touch}
        onKeyDown={key}
      />
    </div>
  );
}
