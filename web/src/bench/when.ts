import { t } from '../words/words.ts';

/** Moments as people on a site say them, in the page's language and the phone's own zone. */
export function when(at: string | Date, now = new Date()): string {
  const time = new Date(at);
  const clock = format({ hour: 'numeric', minute: '2-digit' }).format(time);
  const days = Math.round((midnight(now) - midnight(time)) / 86_400_000);
  if (days === 0) return clock;
  if (Math.abs(days) < 7) return `${format({ weekday: 'long' }).format(time)} ${clock}`;
  return `${format({ month: 'short', day: 'numeric' }).format(time)}, ${clock}`;
}

/**
 * The day at the head of the bench. In words of the catalog: it is on the first screen, and a slow
 * phone's first date format takes as long as the rest of that screen.
 */
export function today(now = new Date()): string {
  return t('day.today', {
    weekday: t(`day.week.${now.getDay() as DayOfWeek}`),
    month: t(`day.month.${now.getMonth() as Month}`),
    day: now.getDate(),
  });
}

type DayOfWeek = 0 | 1 | 2 | 3 | 4 | 5 | 6;
type Month = DayOfWeek | 7 | 8 | 9 | 10 | 11;

function midnight(time: Date): number {
  return new Date(time.getFullYear(), time.getMonth(), time.getDate()).getTime();
}

function format(parts: Intl.DateTimeFormatOptions): Intl.DateTimeFormat {
  return new Intl.DateTimeFormat(document.documentElement.lang || 'en-US', parts);
}
