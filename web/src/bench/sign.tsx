import { useEffect } from 'preact/hooks';
import type { Shown } from '../live/store.ts';
import { noSignal, outbox } from '../live/store.ts';
import { t } from '../words/words.ts';
import { places } from './places.ts';

/**
 * A quiet sign of where what was entered is: nothing to say, sending, or waiting here. `quiet`
 * leaves what waits to another sign on the same screen.
 */
export function SyncSign(props: { quiet?: boolean }) {
  const count = outbox.waiting.value.length;
  const stuck = outbox.waiting.value.filter((kept) => kept.stuck !== undefined).length;
  // Not being sent just now means waiting: for a signal, for a busy service, or for the person.
  const waiting = count > 0 && (outbox.cutOff.value || stuck > 0 || !outbox.sending.value);
  if (props.quiet !== true && waiting) {
    return (
      <a class="sync-sign sync-waiting" href={places.unsent}>
        <svg viewBox="0 0 16 16" aria-hidden="true">
          <path d="M8 14V3M3 8L8 3L13 8" />
        </svg>
        {t('sync.unsent', { count })}
      </a>
    );
  }
  return (
    <span class="sync-sign" role="status">
      {outbox.cutOff.value || noSignal.value
        ? t('sync.offline')
        : count > 0
          ? t('sync.sending')
          : ''}
    </span>
  );
}

/** Says that a view could not be asked for again, while it still stands. */
export function BehindSign(props: { shown: Shown<unknown> }) {
  if (props.shown.offline !== true || props.shown.view === undefined) return null;
  return (
    <p class="behind" role="status">
      {t('sync.behind')}
    </p>
  );
}

/** Keeps the page's title on the place, for the phone's own list of pages and for screen readers. */
export function useTitle(title: string): void {
  useEffect(() => {
    document.title = title === '' ? t('app.name') : `${title} · ${t('app.name')}`;
  }, [title]);
}
