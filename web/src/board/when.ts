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

export function dayOf(at: string): string {
  return new Date(at).toLocaleDateString(document.documentElement.lang || 'en-US', {
    weekday: 'long',
    month: 'long',
    day: 'numeric',
  });
}

export function hourOf(at: string): string {
  return new Date(at).toLocaleTimeString(document.documentElement.lang || 'en-US', {
    hour: 'numeric',
    minute: '2-digit',
  });
}
