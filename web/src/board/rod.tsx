import { t } from '../words/words.ts';
import type { Tally } from './standing.ts';

/** A sum as a rod marked off in openings: done filled from the left, held chalked off at the right. */
export function Rod({ tally }: { tally: Tally }) {
  const { total, done, held } = tally;
  const share = (count: number) => (total === 0 ? 0 : (240 * count) / total);
  const marks =
    total > 48 ? [] : Array.from({ length: Math.max(total - 1, 0) }, (_, at) => share(at + 1));
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
        <rect class="rod-wood" x="0" y="3" width="240" height="10" />
        <rect class="rod-fill" x="0" y="3" width={share(done)} height="10" />
        <rect class="rod-cut" x={240 - share(held)} y="3" width={share(held)} height="10" />
        <path class="rod-marks" d={marks.map((x) => `M${x} 3V13`).join('')} />
        <path class="rod-edge" d="M0 3H240V13H0Z" />
      </svg>
    </span>
  );
}
