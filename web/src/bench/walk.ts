import type { Command, ReadingView } from '../api/views.ts';

/**
 * The readings as they will be once what is not sent yet has arrived: nobody tapes one twice. A
 * room's walls are read for the room, whichever of its runs they were touched in.
 */
export function withWaiting(
  readings: readonly ReadingView[],
  item: string,
  waiting: readonly { readonly command: Command }[],
  room?: string,
): readonly ReadingView[] {
  const taped = new Set<string>();
  const walls = new Set<string>();
  for (const { command } of waiting) {
    if (command.take_reading === undefined) continue;
    if (command.item_id === item) taped.add(command.take_reading.reading);
    if (command.item_id === undefined && command.room_id === room) {
      walls.add(command.take_reading.reading);
    }
  }
  return readings.map((reading) =>
    reading.state === 'missing' && (reading.of_room === true ? walls : taped).has(reading.name)
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
