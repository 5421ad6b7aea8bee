import rulesUrl from '../rulebook/made/rulebook.wasm?url';
import { textOf } from '../rulebook/view-text.ts';
import type { OutboxRow, ViewRow } from './db.ts';
import { device } from './device.ts';
import type { Eyes, Made } from './replica.ts';

/*
 * Each screen as it last stood, so that the app opens on it while the rule book still loads. A
 * second later the rule book's own view takes its place. Nothing is decided by it, but it is never
 * wrong: one that another app or rule book made, for another reader or other house rules, from
 * another outbox, or before something dried, is not shown; what a pull has changed leaves the device
 * in the same step as that pull is kept (keep.ts).
 */

const waiting = new Map<string, ViewRow>();
let writing = false;

/** Written at once: a page may be closed the moment after. What comes meanwhile goes together. */
export function remember({ job, of, view, outbox }: Made, by: Eyes): void {
  const text = textOf(view);
  waiting.set(of, {
    person_id: by.person,
    of,
    job_id: job,
    made: madeFor(by),
    outbox: idsOf(outbox, job, of),
    until: firstAhead(text, by.reader.now),
    view: text,
  });
  if (!writing) void write();
}

async function write(): Promise<void> {
  writing = true;
  const { keep } = await device();
  while (waiting.size > 0) {
    const rows = [...waiting.values()];
    waiting.clear();
    // No room left: the next start is a second slower.
    await keep.setViews(rows).catch(() => undefined);
  }
  writing = false;
}

/** What a pull has changed is not written any more either. */
export function dropSeen(changed: readonly string[]): void {
  for (const of of changed) waiting.delete(of);
}

/** What is kept under those ids, whether it still holds or not. */
export async function readSeen(person: string, ids: readonly string[]): Promise<ViewRow[]> {
  const { keep } = await device();
  return keep.views(person, ids).catch(() => []);
}

/** The views among those asked for that still hold, by what they are of. */
export async function recall(
  ids: readonly string[],
  by: Eyes,
  unpulled: (job: string) => readonly OutboxRow[],
  rows = readSeen(by.person, ids),
): Promise<ViewRow[]> {
  return (await rows).filter(
    ({ job_id, of, made, until, outbox, view }) =>
      // An older program kept it in parts.
      typeof view === 'string' &&
      made === madeFor(by) &&
      (until === null || Date.parse(until) > Date.parse(by.reader.now)) &&
      idsOf(unpulled(job_id), job_id, of).join() === outbox.join(),
  );
}

function madeFor({ company, reader: { language, unit } }: Eyes): string {
  const version = document.documentElement.dataset['version'] ?? '';
  return [version, rulesUrl, language, unit, JSON.stringify(company)].join(' ');
}

/** The commands that bear on a view: on a job's all of them, on an item's its own and its room's. */
function idsOf(rows: readonly OutboxRow[], job: string, of: string): string[] {
  return rows.flatMap(({ id, command: { item_id } }) =>
    of === job || item_id === undefined || item_id === of ? [id] : [],
  );
}

// Within a text that a person wrote quotes are escaped: nothing there looks like a member.
const moments = /"\w+_at":"([^"\\]+)"/g;
const day = 86_400_000;

/** The first moment a view's text names that is still to come: paint dries without anyone entering it. */
export function firstAhead(view: string, now: string): string | null {
  const from = Date.parse(now);
  // Most are long past, and read as text. A day is more than two clocks' zones are apart.
  const before = new Date(from - day).toISOString();
  let first = Number.POSITIVE_INFINITY;
  for (const [, text = ''] of view.matchAll(moments)) {
    if (text < before) continue;
    const at = Date.parse(text);
    if (at > from && at < first) first = at;
  }
  return first === Number.POSITIVE_INFINITY ? null : new Date(first).toISOString();
}
