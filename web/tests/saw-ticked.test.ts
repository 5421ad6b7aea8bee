import { describe, expect, test } from 'vitest';
import type { Command } from '../src/api/views.ts';
import type { PieceView, StickView } from '../src/saw/stock.ts';
import { asTicked, makeHold, waitingFor, waitsToBeTaken } from '../src/saw/ticked.ts';

const piece = (made: Partial<PieceView> = {}): PieceView =>
  ({ item_id: 'door', piece: 'head_casing', state: 'to_cut', ...made }) as PieceView;
const row = (made: Partial<Command>) => ({ command: { item_id: 'door', ...made } as Command });
const cut = (id: string, stick = 'stick', name = 'head_casing') =>
  row({ id, cut_pieces: { stick_id: stick, pieces: [{ piece: name, computed: 1, as_cut: 1 }] } });
const back = (id: string, of: string) =>
  row({ id, withdraw: { command_id: of, reason: 'ticked by mistake' } });

describe('what waits here and is not in the plan yet', () => {
  test('a piece whose cut waits is cut, and unticking takes that cut back', () => {
    const now = waitingFor(piece(), 'stick', [cut('a')]);
    expect(now).toEqual({ cut: true, by: 'a' });
    expect(asTicked(piece(), now)).toMatchObject({ state: 'cut', cut_by: 'a' });
  });

  test('a cut from another stick, of another piece, or of another opening says nothing', () => {
    expect(waitingFor(piece(), 'stick', [cut('a', 'other')])).toBeNull();
    expect(waitingFor(piece(), 'stick', [cut('a', 'stick', 'left_casing')])).toBeNull();
    expect(waitingFor(piece({ item_id: 'window' }), 'stick', [cut('a')])).toBeNull();
  });

  test('each part of a joined piece by itself', () => {
    const part = (n: number) => piece({ part: n, parts: 2 });
    const sawn = row({
      id: 'a',
      saw_part: { stick_id: 'stick', piece: 'head_casing', part: 2, parts: 2, as_cut: 1 },
    });
    expect(waitingFor(part(2), 'stick', [sawn])).toEqual({ cut: true, by: 'a' });
    expect(waitingFor(part(1), 'stick', [sawn])).toBeNull();
    expect(waitingFor(part(1), 'stick', [cut('b')])).toBeNull();
  });

  test('the last word counts: unticked, and ticked again', () => {
    const known = piece({ state: 'cut', cut_by: 'was' });
    const off = waitingFor(known, 'stick', [back('b', 'was')]);
    expect(off).toEqual({ cut: false });
    expect(asTicked(known, off)).toEqual({ ...piece(), state: 'to_cut' });
    expect(waitingFor(known, 'stick', [back('b', 'was'), cut('c')])).toEqual({
      cut: true,
      by: 'c',
    });
    expect(waitingFor(piece(), 'stick', [cut('a'), back('b', 'a')])).toEqual({ cut: false });
    expect(waitingFor(known, 'stick', [back('b', 'something else')])).toBeNull();
  });

  test('a stick that waits to be taken is on the saw', () => {
    const take = row({ id: 'stick', take_stick: { stock: { kind: 'casing' }, length: 1 } });
    expect(waitsToBeTaken('stick', [take])).toBe(true);
    expect(waitsToBeTaken('other', [take])).toBe(false);
  });

  test('what waited still shows when it has gone, until a later plan is here', () => {
    const hold = makeHold();
    const [before, after] = [{} as StickView, {} as StickView];
    expect(hold.now('head', before, null)).toBeNull();
    expect(hold.now('head', before, { cut: true, by: 'a' })).toEqual({ cut: true, by: 'a' });
    expect(hold.now('head', before, null)).toEqual({ cut: true, by: 'a' });
    expect(hold.now('left', before, null)).toBeNull();
    expect(hold.now('head', after, null)).toBeNull();
    hold.now('head', after, { cut: true });
    hold.forget('head');
    expect(hold.now('head', after, null)).toBeNull();
  });
});
