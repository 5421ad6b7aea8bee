import type { JobView, PoleView, RoomView } from '../api/views.ts';
import { standingOf } from './standing.ts';

/** What became of one opening or room between two views of a job, the most telling thing of it. */
export interface Change {
  readonly seq: number;
  /** The opening's id, or the room's. */
  readonly id: string;
  readonly name: string;
  readonly what: 'added' | 'held' | 'cleared' | 'done' | 'ready' | 'redo' | 'given' | 'touched';
  /** The stage it is about, in the reader's words. */
  readonly stage?: string;
  /** The person it was given to; empty when it was taken back. */
  readonly person?: string;
}

export interface Merged {
  readonly job: JobView;
  readonly changes: readonly Change[];
}

/**
 * Lays a newer view over the one on the screen. Rooms and poles that are the same keep their
 * identity, so what did not change is not drawn again; an older view is left out, since answers
 * can overtake one another.
 */
export function merge(before: JobView | null, after: JobView): Merged {
  if (before === null) return { job: after, changes: [] };
  if (after.id !== before.id) return { job: after, changes: [] };
  if (after.seq < before.seq) return { job: before, changes: [] };
  const changes: Change[] = [];
  const poles = new Map<string, PoleView>();
  const rooms = new Map<string, RoomView>();
  for (const room of before.rooms) {
    rooms.set(room.id, room);
    for (const pole of room.items) poles.set(pole.id, pole);
  }
  const merged = after.rooms.map((room): RoomView => {
    const old = rooms.get(room.id);
    let alike = old !== undefined && old.items.length === room.items.length;
    const items = room.items.map((pole, at) => {
      const was = poles.get(pole.id);
      if (was !== undefined && alikeJSON(was, pole)) {
        alike &&= old?.items[at] === was;
        return was;
      }
      alike = false;
      const change = poleChange(was, pole, after.seq);
      if (change !== null) changes.push(change);
      return pole;
    });
    if (old === undefined) {
      changes.push({ seq: room.added_seq, id: room.id, name: room.name, what: 'added' });
    } else if (old.assigned_to !== room.assigned_to) {
      const person = room.assigned_to ?? '';
      changes.push({ seq: after.seq, id: room.id, name: room.name, what: 'given', person });
    }
    if (alike && old !== undefined && alikeJSON({ ...old, items: [] }, { ...room, items: [] })) {
      return old;
    }
    return { ...room, items };
  });
  // Given with its room is said once, of the room.
  const given = new Set(changes.filter(({ what }) => what === 'given').map(({ id }) => id));
  const told = changes.filter((change) => {
    if (change.what !== 'given') return true;
    const room = after.rooms.find(({ items }) => items.some(({ id }) => id === change.id));
    return room === undefined || !given.has(room.id);
  });
  return { job: { ...after, rooms: merged }, changes: told };
}

function poleChange(was: PoleView | undefined, is: PoleView, seq: number): Change | null {
  const about = { seq: is.through_seq, id: is.id, name: is.name };
  if (was === undefined) return { ...about, what: 'added' };
  const statusOf = (pole: PoleView, stage: string) =>
    pole.marks.find((mark) => mark.stage === stage)?.status;
  // The highest stage that came to stand so tells the most.
  const came = (status: string) =>
    is.marks.filter((mark) => mark.status === status && statusOf(was, mark.stage) !== status).at(-1)
      ?.label;
  const held = came('held');
  if (held !== undefined) return { ...about, what: 'held', stage: held };
  const redo = came('redone');
  if (redo !== undefined) return { ...about, what: 'redo', stage: redo };
  const done = came('done');
  if (done !== undefined) return { ...about, what: 'done', stage: done };
  if (was.held && !is.held) return { ...about, what: 'cleared' };
  const ready = came('ready');
  if (ready !== undefined) return { ...about, what: 'ready', stage: ready };
  if (was.assigned_to !== is.assigned_to) {
    return { ...about, seq, what: 'given', person: is.assigned_to ?? '' };
  }
  if (was.through_seq !== is.through_seq || standingOf(was) !== standingOf(is)) {
    return { ...about, what: 'touched' };
  }
  return null;
}

function alikeJSON(a: unknown, b: unknown): boolean {
  return JSON.stringify(a) === JSON.stringify(b);
}

/** The latest changes, newest first, one a thing, no more than a glance takes in. */
export function latest(known: readonly Change[], fresh: readonly Change[], most = 6): Change[] {
  const newest = [...fresh].sort((a, b) => b.seq - a.seq);
  const named = new Set(newest.map(({ id }) => id));
  return [...newest, ...known.filter(({ id }) => !named.has(id))].slice(0, most);
}
