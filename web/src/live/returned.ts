import { batch, type ReadonlySignal, signal } from '@preact/signals';
import type { Command, CommandOutcomes, Outcome } from '../api/views.ts';
import type { NewsRow, OutboxRow, RefusedRow } from './db.ts';
import { device } from './device.ts';
import type { Step } from './shelf.ts';
import { tellTabs } from './tabs.ts';

/*
 * What came back of a person's work: turned back by the rules, or overtaken while they were away. It
 * lies on the device until they have seen it, and what was turned back stays there after that.
 */

const turnedBack = signal<readonly RefusedRow[]>([]);
const told = signal<readonly NewsRow[]>([]);
let whose = '';

/** What the rules turned back and the person has not put away yet, the newest first. */
export const refusals: ReadonlySignal<readonly RefusedRow[]> = turnedBack;

/** What happened to this person's work while they were away, until it has been seen. */
export const news: ReadonlySignal<readonly NewsRow[]> = told;

/** The person has dealt with it; it stays on the device to be looked up. */
export function putAway(id: string): void {
  const row = turnedBack.value.find((each) => each.id === id);
  if (row === undefined) return;
  turnedBack.value = turnedBack.value.filter((each) => each.id !== id);
  void keep({ refused: [{ ...row, away: true }] });
}

/** Everything that was turned back here about an item, put away or not, the newest first. */
export async function turnedBackAt(item: string): Promise<readonly RefusedRow[]> {
  const { shelf } = await device();
  const rows = await shelf.refused(whose).catch(() => []);
  return rows.filter(({ command }) => command.item_id === item).sort(newestFirst);
}

export function seenNews(id: string): void {
  told.value = told.value.filter((each) => each.id !== id);
  void device()
    .then(({ shelf }) => shelf.forgetNews(id))
    .then(() => tellTabs('outbox'))
    .catch(() => undefined);
}

export async function tellNews(rows: readonly NewsRow[]): Promise<void> {
  const fresh = rows.filter(({ id }) => !told.value.some((old) => old.id === id));
  if (fresh.length === 0) return;
  told.value = [...fresh, ...told.value];
  await keep({ news: fresh });
}

async function keep(step: Step): Promise<void> {
  const { shelf } = await device();
  await shelf.take(step).catch(() => undefined);
  tellTabs('outbox');
}

/** Whose returns are shown; reads the device's. An empty id shows nobody's. */
export async function returnsOf(person: string): Promise<void> {
  whose = person;
  if (person === '') {
    batch(() => {
      turnedBack.value = [];
      told.value = [];
    });
    return;
  }
  const { shelf } = await device();
  const [refused, happened] = await Promise.all([
    shelf.refused(person).catch(() => []),
    shelf.news(person).catch(() => []),
  ]);
  if (whose !== person) return;
  batch(() => {
    turnedBack.value = refused.filter(({ away }) => !away).sort(newestFirst);
    told.value = [...happened].sort(newestFirst);
  });
}

function newestFirst(a: { readonly at: string }, b: { readonly at: string }): number {
  return a.at < b.at ? 1 : -1;
}

/** What came back of what was sent, to be kept in the same step that takes it out of the outbox. */
export function takeAnswer(answer: CommandOutcomes, sent: readonly OutboxRow[]): Step {
  const refused: RefusedRow[] = [];
  const crossed: NewsRow[] = [];
  for (const { command_id, applied, findings = [] } of answer.outcomes) {
    const row = sent.find(({ id }) => id === command_id);
    if (applied || row === undefined) continue;
    const ticked = row.command.tick_stage?.stage;
    // Two ticked the same stage: the second is done already, which is what its author wanted.
    if (ticked !== undefined && findings.every(({ code }) => code === 'already_done')) {
      crossed.push({ ...newsOf('tick_crossed', row), stage: ticked });
    } else {
      refused.push({ ...turnBackOf(row, findings), by: 'log' });
    }
  }
  const old = turnedBack.value.filter((row) =>
    sent.some(({ id, command: done }) => id !== row.id && sameThing(done, row.command)),
  );
  batch(() => {
    turnedBack.value = [
      ...refused,
      ...turnedBack.value.filter(
        (row) => !old.includes(row) && !refused.some(({ id }) => id === row.id),
      ),
    ];
    told.value = [...crossed, ...told.value];
  });
  return { refused: [...refused, ...old.map((row) => ({ ...row, away: true }))], news: crossed };
}

/** The rules here say no: it is kept with the reasons and not sent, unless its author asks for it. */
export async function turnBackHere(
  row: OutboxRow,
  findings: RefusedRow['findings'],
): Promise<Outcome> {
  const refused: RefusedRow = { ...turnBackOf(row, findings), by: 'phone' };
  clearLike(row);
  turnedBack.value = [refused, ...turnedBack.value];
  await keep({ refused: [refused] });
  return { command_id: row.id, applied: false, findings: [...findings] };
}

/** The same thing has been done since: what was turned back of it needs nobody any more. */
export function clearLike(row: OutboxRow): void {
  for (const old of turnedBack.peek()) if (sameThing(row.command, old.command)) putAway(old.id);
}

export function newsOf(kind: NewsRow['kind'], row: OutboxRow): NewsRow {
  return {
    id: row.id,
    person_id: row.person_id,
    job_id: row.job_id,
    item_id: row.command.item_id ?? '',
    kind,
    said: row.said,
    at: new Date().toISOString(),
  };
}

function turnBackOf(row: OutboxRow, findings: RefusedRow['findings']): Omit<RefusedRow, 'by'> {
  const { stuck: _, logged_seq: __, ...rest } = row;
  return { ...rest, findings, at: new Date().toISOString(), away: false };
}

/** The same thing tried again: its answer takes the old one's place. */
function sameThing(a: Command, b: Command): boolean {
  const subject = subjectOf(a);
  return subject !== null && a.item_id === b.item_id && subject === subjectOf(b);
}

/** What a command is about, where doing it again settles what was turned back; null where it does not. */
function subjectOf(command: Command): string | null {
  const { kind } = command;
  switch (kind) {
    case 'take_reading':
      return `${kind} ${command.room_id ?? ''} ${command.take_reading?.reading}`;
    case 'choose_take':
      return `${kind} ${command.room_id ?? ''} ${command.choose_take?.reading}`;
    case 'tick_stage':
      return `${kind} ${command.tick_stage?.stage}`;
    case 'reopen_stage':
      return `${kind} ${command.reopen_stage?.stage}`;
    case 'read_gap':
      return `${kind} ${command.read_gap?.line}`;
    case 'answer_check':
      return `${kind} ${command.answer_check?.check}`;
    case 'treat_holes':
    case 'sand':
      return `${kind} ${command.treat_holes?.kind ?? command.sand?.kind}`;
    case 'log_fasteners':
      return `${kind} ${command.log_fasteners?.fastener.where}`;
    case 'log_gap':
      return `${kind} ${command.log_gap?.gap.edge}`;
    case 'log_coat':
      return kind;
    default:
      return null;
  }
}
