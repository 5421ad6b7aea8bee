import { t } from '../words/words.ts';
import type { Tally } from './standing.ts';

/** A job's sum: a rod marked off in openings, filled as far as their stages are ticked. */
export function Rod({ tally }: { tally: Tally }) {
  const { total, done, held, marks, marksDone } = tally;
  const full = marks === 0 ? 0 : marksDone / marks;
  const parts = Math.min(total, 48);
  return (
    <span class="rod">
      <span class="rod-words">
        <strong class="number">{t('board.sum.done', { done, total })}</strong>
        {held > 0 && (
          <strong class="rod-held number">
            <svg class="rod-notch" viewBox="0 0 12 12" aria-hidden="true">
              <path d="M12 0L0 6L12 12Z" />
            </svg>
            {t('board.sum.held', { held })}
          </strong>
        )}
      </span>
      <svg class="rod-drawing" viewBox="0 0 240 16" aria-hidden="true" preserveAspectRatio="none">
        <rect class="rod-fill" x="0" y="3" width={240 * full} height="10" />
        <path
          class="rod-marks"
          d={Array.from({ length: parts - 1 }, (_, at) => {
            const x = (240 * (at + 1)) / parts;
            return `M${x} ${at % 4 === 3 ? 3 : 7}V13`;
          }).join('')}
        />
        <path class="rod-edge" d="M0 3H240V13H0Z" />
      </svg>
    </span>
  );
}
