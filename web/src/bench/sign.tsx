import { useEffect } from 'preact/hooks';
import type { Shown } from '../live/store.ts';
import { disagreements, noSignal, outbox, refusals } from '../live/store.ts';
import { t } from '../words/words.ts';
import { places } from './places.ts';
import '../parts/sync-sign.css';

/** How many things wait for this person to say what becomes of them. */
export function needsCount(): number {
  const stuck = outbox.waiting.value.filter((row) => row.stuck !== undefined).length;
  const apart = [...disagreements.value.values()].reduce((sum, list) => sum + list.length, 0);
  return refusals.value.length + stuck + apart;
}

/**
 * A quiet sign of where what was entered is: in the log, waiting here, or back for its author.
 * `quiet` leaves what waits to another sign on the same screen.
 */
export function SyncSign(props: { quiet?: boolean }) {
  const needs = needsCount();
  const rows = outbox.waiting.value;
  const held = rows.filter((row) => row.held === true).length;
  const count = rows.filter((row) => row.stuck === undefined).length - held;
  // Not being sent just now means waiting: for a signal, or for a busy service.
  const waiting = count > 0 && (outbox.cutOff.value || !outbox.sending.value);
  if (props.quiet !== true && (needs + held > 0 || waiting)) {
    return (
      <a class="sync-sign sync-waiting" href={places.unsent}>
        {needs > 0 && (
          <span class="sync-needs">
            <svg viewBox="0 0 16 16" aria-hidden="true">
              <path d="M3 2V14M3 3H13L10 6L13 9H3" />
            </svg>
            {t('sync.needs', { count: needs })}
          </span>
        )}
        {waiting && (
          <span class="sync-needs">
            <svg viewBox="0 0 16 16" aria-hidden="true">
              <path d="M8 14V3M3 8L8 3L13 8" />
            </svg>
            {t('sync.waiting', { count })}
          </span>
        )}
        {held > 0 && <span>{t('sync.held', { count: held })}</span>}
      </a>
    );
  }
  return (
    <span class="sync-sign" role="status">
      {outbox.cutOff.value || noSignal.value
        ? t('sync.offline')
        : count > 0
          ? t('sync.sending')
          : props.quiet === true
            ? ''
            : t('sync.sent')}
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
