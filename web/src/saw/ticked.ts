import type { OutboxRow } from '../live/db.ts';
import type { PieceView, StickView } from './stock.ts';

/*
 * The plan comes from the service. What was ticked here and is not in it yet shows all the same: a
 * thumb that sees nothing taps again, and tells one cut twice.
 */

/** How a piece stands by what was done here. */
export interface Standing {
  readonly cut: boolean;
  /** The cut, which unticking takes back. */
  readonly by?: string;
}

type Waiting = readonly Pick<OutboxRow, 'command'>[];

/** What waits says of a piece of a stick, the last word counting; null when it says nothing. */
export function waitingFor(piece: PieceView, stick: string, waiting: Waiting): Standing | null {
  let now: Standing | null = null;
  for (const { command } of waiting) {
    if (command.item_id !== piece.item_id) continue;
    const { cut_pieces: whole, saw_part: part, withdraw } = command;
    const cut =
      piece.parts === undefined
        ? whole?.stick_id === stick && whole.pieces.some((each) => each.piece === piece.piece)
        : part?.stick_id === stick &&
          part.piece === piece.piece &&
          part.part === piece.part &&
          part.parts === piece.parts;
    const last: string | undefined = now === null ? piece.cut_by : now.by;
    if (cut) now = { cut: true, by: command.id };
    else if (withdraw !== undefined && withdraw.command_id === last) now = { cut: false };
  }
  return now;
}

/** A stick that waits to be taken to the saw. */
export function waitsToBeTaken(stick: string, waiting: Waiting): boolean {
  return waiting.some(({ command }) => command.id === stick && command.take_stick !== undefined);
}

/** The piece as it stands by what was done here. */
export function asTicked(piece: PieceView, standing: Standing | null): PieceView {
  if (standing === null) return piece;
  const { cut_by: _, ...rest } = piece;
  return {
    ...rest,
    state: standing.cut ? 'cut' : 'to_cut',
    ...(standing.by === undefined ? {} : { cut_by: standing.by }),
  };
}

/**
 * Keeps what waited until a later plan is here: between the outbox letting a tick go and the plan
 * that has it, nothing else would show it.
 */
export function makeHold() {
  const held = new Map<string, { readonly of: StickView; readonly standing: Standing }>();
  return {
    /** How a piece stands on the stick as the service last showed it. */
    now(name: string, stick: StickView, waits: Standing | null): Standing | null {
      if (waits !== null) held.set(name, { of: stick, standing: waits });
      const last = held.get(name);
      return last?.of === stick ? last.standing : null;
    },
    /** It came to nothing. */
    forget(name: string): void {
      held.delete(name);
    },
  };
}
