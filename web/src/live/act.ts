import { type About, type CommandBody, type CommandKind, command, newId } from '../api/command.ts';
import type { Command, Outcome } from '../api/views.ts';
import { session } from '../sign-in/session.ts';
import type { OutboxRow, RefusedRow } from './db.ts';
import { askToStay } from './device.ts';
import { isLocal, opening, outbox, rendered, replica } from './local.ts';
import { rowOf } from './outbox.ts';
import { clearLike, putAway, turnBackHere } from './returned.ts';

export interface Said {
  /** What was done, in words, for the list of what is not sent yet. */
  readonly said: string;
  readonly nm?: number;
  /** Called once it is on the device: what a screen calls kept is. */
  readonly onKept?: () => void;
}

/**
 * Does one thing. When the promise is kept it is on the device's disk, the screens show it, and it
 * tells what came of it by the rules here; null means that only the service can tell and has not yet.
 */
export function act<K extends Extract<CommandKind, keyof Command>>(
  kind: K,
  about: About,
  body: CommandBody<K>,
  said: Said,
): Promise<Outcome | null> {
  const now = session.peek();
  const person = now.state === 'in' ? now.me.person_id : '';
  const { onKept, ...words } = said;
  return perform(rowOf(command(kind, about, body), person, words), onKept);
}

/** Does again what was turned back, as a new thing with its own id. */
export function tryAgain(row: RefusedRow): Promise<Outcome | null> {
  putAway(row.id);
  return perform(anew(row));
}

/** Sends what the rules here turned back: the service decides, and what it says stands. */
export async function sendAnyway(row: RefusedRow): Promise<void> {
  putAway(row.id);
  await outbox.keep(anew(row));
  void outbox.push();
}

function anew(row: RefusedRow): OutboxRow {
  const { said, nm } = row;
  const now = { ...row.command, id: newId(), at: new Date().toISOString() };
  return rowOf(now, row.person_id, nm === undefined ? { said } : { said, nm });
}

async function perform(row: OutboxRow, onKept?: () => void): Promise<Outcome | null> {
  const job = row.job_id;
  if (isLocal(job)) {
    try {
      const decision = await replica.decide(row, () => outbox.keep(row));
      if (decision.refused) return await turnBackHere(row, decision.findings);
      onKept?.();
      await rendered(job);
      askToStay();
      void outbox.push();
      clearLike(row);
      return { command_id: row.id, applied: true, findings: [...decision.findings] };
    } catch {
      // The rule book failed under it: the service decides.
    }
  }
  const answer = outbox.answerOf(row.id);
  await outbox.keep(row);
  onKept?.();
  askToStay();
  // Done on a screen as it last stood, while the job was still being opened: it shows in the job
  // before it is sent, or it would come and go.
  if (!isLocal(job) && (await opening(job))) {
    await replica.refold(job).catch(() => undefined);
  }
  void outbox.push();
  return answer;
}
