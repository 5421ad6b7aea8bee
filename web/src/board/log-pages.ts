import type { EntryView } from '../api/views.ts';

const pageLength = 60;

/** What to ask for to get a page of the log that ends with `through`; the log has no holes. */
export function pageBefore(through: number): { readonly after: number; readonly limit: number } {
  const after = Math.max(0, through - pageLength);
  return { after, limit: Math.max(1, through - after) };
}

/** Newest first: what is known, then a page of older ones as the service lists it. */
export function older(known: readonly EntryView[], page: readonly EntryView[]): EntryView[] {
  const least = known.at(-1)?.seq ?? Number.POSITIVE_INFINITY;
  return [...known, ...page.filter(({ seq }) => seq < least).sort((a, b) => b.seq - a.seq)];
}

/**
 * Entries under the day they were done, in the order they stand. Work done without a signal is
 * logged later than it was done, so a day can come up more than once.
 */
export function byDay(entries: readonly EntryView[]): [string, EntryView[]][] {
  const out: [string, EntryView[]][] = [];
  for (const entry of entries) {
    const day = new Date(entry.did_at).toDateString();
    const last = out.at(-1);
    if (last !== undefined && new Date(last[1][0]?.did_at ?? '').toDateString() === day) {
      last[1].push(entry);
    } else out.push([`${day} ${entry.seq}`, [entry]]);
  }
  return out;
}
