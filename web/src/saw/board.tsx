import { Words } from '../parts/fraction.tsx';
import { t } from '../words/words.ts';
import type { StickView } from './stock.ts';

/**
 * One stick lying on the saw, to scale along its length: pencil lines run past the edges where
 * it is marked, what is cut is filled, what goes to the rack is hatched. Its height is not to scale.
 */
export function Board({ stick, longest }: { stick: StickView; longest: number }) {
  const share = (nm: number) => (nm / stick.length) * 100;
  const rest = stick.pieces.reduce((end, { at, length }) => Math.max(end, at + length), stick.used);
  return (
    <div class="board-stick" style={{ width: `${Math.max(16, (stick.length / longest) * 100)}%` }}>
      <svg class="board-wood" viewBox="0 0 1000 100" preserveAspectRatio="none" aria-hidden="true">
        <rect class="board-face" x="0" y="12" width="1000" height="76" />
        <path class="board-grain" d="M0 34C250 28 420 44 1000 33M0 60C330 66 600 52 1000 63" />
        {stick.used > 0 && (
          <rect class="board-used" x="0" y="12" width={share(stick.used) * 10} height="76" />
        )}
        {stick.pieces.map(({ at, length, left, right, state, piece }) => {
          const l = share(at) * 10;
          const r = share(at + length) * 10;
          const in_ = (nm: number) => share(nm) * 10;
          return (
            <g key={`${piece}-${at}`} class={`board-piece board-${state}`}>
              <polygon
                points={`${l + in_(left.far)},12 ${r - in_(right.far)},12 ${r - in_(right.near)},88 ${l + in_(left.near)},88`}
              />
              <path
                class="board-mark"
                d={
                  mark(l + in_(left.far), l + in_(left.near)) +
                  mark(r - in_(right.far), r - in_(right.near))
                }
              />
            </g>
          );
        })}
        {stick.kept && (
          <rect
            class="board-kept"
            x={share(rest) * 10}
            y="12"
            width={Math.max(0, 1000 - share(rest) * 10)}
            height="76"
          />
        )}
        <rect class="board-edge" x="0" y="12" width="1000" height="76" />
      </svg>
      {stick.pieces.map(({ at, length, text, piece, state, item }) => (
        <span
          key={`${piece}-${at}`}
          class={`board-number number board-number-${state}`}
          style={{ left: `${share(at)}%`, width: `${share(length)}%` }}
          title={item}
          aria-hidden="true"
        >
          <span class="board-fits">
            <Words>{text}</Words>
          </span>
        </span>
      ))}
      <p class="unseen">
        <Words>
          {t('saw.boardSaid', { length: stick.text, count: stick.pieces.length, left: stick.left })}
        </Words>
      </p>
    </div>
  );
}

/** A line from edge to edge, run past both as a pencil does. */
function mark(far: number, near: number): string {
  const over = ((near - far) / 76) * 12;
  return `M${far - over} 0L${near + over} 100`;
}
