import type { Shown } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Notice } from '../parts/notice.tsx';
import { t } from '../words/words.ts';

export interface StandstillProps {
  readonly shown: Shown<unknown>;
  /** What is being waited for, in one sentence. */
  readonly waiting: string;
  readonly again: () => void;
}

/** A screen that has nothing to show: it is on its way, out of reach, or gone. */
export function Standstill({ shown, waiting, again }: StandstillProps) {
  if (shown.gone !== undefined) {
    return (
      <Notice kind="gone" sentence={shown.gone} more={t('board.gone.more')}>
        <a class="button button-line" href="/board">
          {t('board.toJobs')}
        </a>
      </Notice>
    );
  }
  if (shown.offline) {
    return (
      <Notice kind="offline" sentence={t('board.offline')} more={t('board.offline.more')}>
        <Button onPress={again}>{t('action.tryAgain')}</Button>
      </Notice>
    );
  }
  return <Notice kind="waiting" sentence={waiting} />;
}

/** Above a view that could not be asked for again: how it stands is as it was last heard. */
export function Stale({ shown, again }: { shown: Shown<unknown>; again: () => void }) {
  if (!shown.offline) return null;
  return (
    <Notice kind="offline" slim sentence={t('board.stale')} more={t('board.stale.more')}>
      <Button onPress={again}>{t('action.tryAgain')}</Button>
    </Notice>
  );
}
