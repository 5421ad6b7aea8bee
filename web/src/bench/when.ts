/** Moments as people on a site say them, in the page's language and the phone's own zone. */
export function when(at: string | Date, now = new Date()): string {
  const time = new Date(at);
  const clock = format({ hour: 'numeric', minute: '2-digit' }).format(time);
  const days = Math.round((midnight(now) - midnight(time)) / 86_400_000);
  if (days === 0) return clock;
  if (Math.abs(days) < 7) return `${format({ weekday: 'long' }).format(time)} ${clock}`;
  return `${format({ month: 'short', day: 'numeric' }).format(time)}, ${clock}`;
}

export function today(now = new Date()): string {
  return format({ weekday: 'long', month: 'long', day: 'numeric' }).format(now);
}

function midnight(time: Date): number {
  return new Date(time.getFullYear(), time.getMonth(), time.getDate()).getTime();
}

function format(parts: Intl.DateTimeFormatOptions): Intl.DateTimeFormat {
  return new Intl.DateTimeFormat(document.documentElement.lang || 'en-US', parts);
}
