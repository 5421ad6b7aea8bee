import type { PoleView, RoomView } from '../api/views.ts';

/** A room's length of baseline in one row, or the part of a long room that fits the row. */
export interface Stretch {
  readonly room: RoomView;
  readonly items: readonly PoleView[];
  /** Where it starts and how long it is, in columns. */
  readonly start: number;
  readonly width: number;
  /** The rest of a room whose first part stands in the row above. */
  readonly continued: boolean;
}

export interface Row {
  readonly stretches: readonly Stretch[];
}

/** The rooms of one storey, one row of them above the other. */
export interface Storey {
  readonly level: RoomView['level'];
  readonly label: string;
  readonly rows: readonly Row[];
}

export interface Packing {
  /** Columns a row can hold. */
  readonly capacity: number;
  /** Columns left open between two rooms. */
  readonly gap: number;
  /** Fewest columns a room gets, so that its name has a place. */
  readonly least: number;
}

// From the roof down, as a section through the house is drawn.
const fromTheRoof: readonly RoomView['level'][] = ['upper', 'ground', 'basement'];

/** Stands the rooms on their storeys, in the order they were added, and breaks full rows. */
export function storeys(rooms: readonly RoomView[], packing: Packing): Storey[] {
  const out: Storey[] = [];
  for (const level of fromTheRoof) {
    const here = rooms.filter((room) => room.level === level);
    const first = here[0];
    if (first === undefined) continue;
    out.push({ level, label: first.level_label, rows: pack(here, packing) });
  }
  return out;
}

function pack(rooms: readonly RoomView[], { capacity, gap, least }: Packing): Row[] {
  const full = Math.max(1, capacity);
  const rows: Stretch[][] = [];
  let row: Stretch[] = [];
  let used = 0;
  const breakRow = () => {
    if (row.length > 0) rows.push(row);
    row = [];
    used = 0;
  };
  for (const room of rooms) {
    // A room goes to the next row whole where it fits there; only one longer than a row is parted.
    if (row.length > 0 && used + gap + Math.max(least, room.items.length) > full) breakRow();
    let rest: readonly PoleView[] = room.items;
    let standing = false;
    while (rest.length > 0 || !standing) {
      if (standing) breakRow();
      const start = row.length === 0 ? 0 : used + gap;
      const items = rest.slice(0, Math.max(1, Math.floor(full - start)));
      const width = Math.min(Math.max(least, items.length), full);
      row.push({ room, items, start, width, continued: standing });
      used = start + width;
      rest = rest.slice(items.length);
      standing = true;
    }
  }
  breakRow();
  return rows.map((stretches) => ({ stretches }));
}

/** The longest row, in columns. */
export function longest(house: readonly Storey[]): number {
  let most = 0;
  for (const { rows } of house) {
    for (const { stretches } of rows) {
      const last = stretches[stretches.length - 1];
      if (last !== undefined) most = Math.max(most, last.start + last.width);
    }
  }
  return most;
}

/** How the poles are drawn: fewer openings stand wider apart and have room for words. */
export interface Scale {
  readonly name: 'roomy' | 'plain' | 'close';
  /** Height of one stage, width of a pole and least width of a column, in CSS pixels. */
  readonly rise: number;
  readonly pole: number;
  readonly column: number;
  readonly widest: number;
}

const roomy: Scale = { name: 'roomy', rise: 27, pole: 28, column: 122, widest: 212 };
const plain: Scale = { name: 'plain', rise: 17, pole: 18, column: 64, widest: 112 };
const close: Scale = { name: 'close', rise: 13, pole: 12, column: 30, widest: 40 };

export function scaleFor(openings: number, width: number): Scale {
  if (openings > 60) return close;
  return width >= 560 && openings <= 18 ? roomy : plain;
}

/** On paper everything should stand on one sheet, so the poles close up sooner. */
export function scaleForPaper(openings: number): Scale {
  if (openings <= 12) return { ...roomy, rise: 17, pole: 20 };
  return openings <= 40
    ? { ...plain, rise: 12, pole: 14 }
    : { ...close, rise: 9, pole: 10, column: 26 };
}

export interface Laid {
  readonly house: readonly Storey[];
  readonly scale: Scale;
  /** Width of one column, and of the open length between two rooms, in CSS pixels. */
  readonly column: number;
  readonly gap: number;
}

// So that a room's name has a place under a single pole.
const leastColumns = { roomy: 1, plain: 1.6, close: 4 } as const;

/** Lays the rooms out in a width. All rows keep one column width, so poles stand under poles. */
export function layOut(rooms: readonly RoomView[], width: number, scale: Scale): Laid {
  const gap = scale.name === 'roomy' ? 0.16 : scale.name === 'plain' ? 0.3 : 0.6;
  const least = leastColumns[scale.name];
  const capacity = Math.max(1, width / scale.column);
  const house = storeys(rooms, { capacity, gap, least });
  const column = Math.min(scale.widest, Math.floor(width / Math.max(longest(house), 1)));
  return { house, scale, column, gap };
}
