import type { ReadingView } from '../api/views.ts';

/** Readings in the order a person walks them; this picks the next one the cuts still need. */
export function nextReading(readings: readonly ReadingView[], after: string): string | null {
  const at = readings.findIndex(({ name }) => name === after);
  const ordered = [...readings.slice(at + 1), ...readings.slice(0, Math.max(at, 0))];
  return ordered.find(wantsTaping)?.name ?? null;
}

export function wantsTaping(reading: ReadingView): boolean {
  return (reading.required && reading.state === 'missing') || reading.state === 'disagree';
}
