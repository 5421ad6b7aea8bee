import type { Command, ReadingView } from '../api/views.ts';

/** The readings as they will be once what is not sent yet has arrived: nobody tapes one twice. */
export function withWaiting(
  readings: readonly ReadingView[],
  item: string,
  waiting: readonly { readonly command: Command }[],
): readonly ReadingView[] {
  const taped = new Set(
    waiting.flatMap(({ command }) =>
      command.item_id === item && command.take_reading !== undefined
        ? [command.take_reading.reading]
        : [],
    ),
  );
  return readings.map((reading) =>
    reading.state === 'missing' && taped.has(reading.name)
      ? { ...reading, state: 'taken' as const }
      : reading,
  );
}

/** Readings in the order a person walks them; this picks the next one the cuts still need. */
export function nextReading(readings: readonly ReadingView[], after: string): string | null {
  const at = readings.findIndex(({ name }) => name === after);
  const ordered = [...readings.slice(at + 1), ...readings.slice(0, Math.max(at, 0))];
  return ordered.find(wantsTaping)?.name ?? null;
}

export function wantsTaping(reading: ReadingView): boolean {
  return (reading.required && reading.state === 'missing') || reading.state === 'disagree';
}
