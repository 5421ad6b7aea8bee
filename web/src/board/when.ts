/** Times as the person's own device writes them. */
export function clockTime(at: string): string {
  const date = new Date(at);
  const today = new Date().toDateString() === date.toDateString();
  return date.toLocaleString(
    document.documentElement.lang || 'en-US',
    today
      ? { hour: 'numeric', minute: '2-digit' }
      : { weekday: 'short', hour: 'numeric', minute: '2-digit' },
  );
}

export function hourOf(at: string): string {
  return new Date(at).toLocaleTimeString(document.documentElement.lang || 'en-US', {
    hour: 'numeric',
    minute: '2-digit',
  });
}

/** A date without its hour: "Friday, December 4", or "Dec 4". */
export function dayOf(at: string, length: 'long' | 'short' = 'long'): string {
  return new Date(at).toLocaleDateString(
    document.documentElement.lang || 'en-US',
    length === 'long'
      ? { weekday: 'long', month: 'long', day: 'numeric' }
      : { month: 'short', day: 'numeric' },
  );
}

/** A day of the week by its number, Sunday 0. */
export function weekdayOf(day: number, length: 'long' | 'short'): string {
  // The fourth of January 2026 is a Sunday.
  return new Date(2026, 0, 4 + day).toLocaleDateString(document.documentElement.lang || 'en-US', {
    weekday: length,
  });
}
