/** A day as the homeowner's own language writes it: a moment, or a day alone as 2026-11-30. */
export function day(at: string): string {
  const only = /^\d{4}-\d{2}-\d{2}$/.test(at);
  return new Date(only ? `${at}T12:00:00` : at).toLocaleDateString(
    document.documentElement.lang || 'en-US',
    { weekday: 'long', month: 'long', day: 'numeric' },
  );
}
