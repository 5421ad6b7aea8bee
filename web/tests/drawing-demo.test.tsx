import { render } from 'preact';
import { act } from 'preact/test-utils';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { Drawing, dimName } from '../src/parts/drawing.tsx';
import { type Placed, placeDims, transformOf, wholeView } from '../src/parts/drawing-layout.ts';
import type { DrawingList, Shape, ShapeState } from '../src/parts/drawing-list.ts';
import { dimAt } from '../src/parts/drawing-touch.ts';
import { demoDrawings } from './fixtures/demo-drawings.ts';

const phone = 390;

function onAPhone(list: DrawingList, width = phone) {
  const size = { width, height: (width * list.height) / list.width };
  const transform = transformOf(list, size, wholeView(list));
  return { size, placed: placeDims(list, transform, size, { figure: 17 }) };
}

function inState(list: DrawingList, state: ShapeState): DrawingList {
  const shapes = list.shapes.map((shape) =>
    shape.key !== undefined && shape.state === 'taken' ? { ...shape, state } : shape,
  );
  return { ...list, shapes };
}

type Corner = readonly [number, number];

/** The four corners of a tag's paper. */
function paper({ tag, turn, tagWidth, tagHeight }: Placed): Corner[] {
  const angle = (turn * Math.PI) / 180;
  const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
  return [
    [-1, -1],
    [1, -1],
    [1, 1],
    [-1, 1],
  ].map(([x = 0, y = 0]) => {
    const [a, b] = [(x * tagWidth) / 2, (y * tagHeight) / 2];
    return [tag.x + a * cos - b * sin, tag.y + a * sin + b * cos];
  });
}

/** How deep two papers lie over each other: no line along a side of either parts them. */
function depth(a: readonly Corner[], b: readonly Corner[]): number {
  let least = Number.POSITIVE_INFINITY;
  for (const quad of [a, b]) {
    for (const side of [0, 1]) {
      const [from, to] = [quad[side] ?? [0, 0], quad[side + 1] ?? [0, 0]];
      const long = Math.hypot(to[0] - from[0], to[1] - from[1]) || 1;
      const axis = [(to[0] - from[0]) / long, (to[1] - from[1]) / long] as const;
      const [one, other] = [a, b].map((each) =>
        each.map(([x, y]) => x * axis[0] + y * axis[1]),
      ) as [number[], number[]];
      const shared =
        Math.min(Math.max(...one), Math.max(...other)) -
        Math.max(Math.min(...one), Math.min(...other));
      least = Math.min(least, shared);
    }
  }
  return least;
}

describe("the demonstration's drawings on a phone", () => {
  it('has all nine openings, their pieces and their states', () => {
    expect(demoDrawings.filter(({ about }) => about.endsWith('as it stands'))).toHaveLength(9);
    const states = new Set(
      demoDrawings.flatMap(({ list }) => list.shapes.map(({ state }) => state)),
    );
    for (const state of ['taken', 'missing', 'next', 'disagree', 'computed', 'stale'] as const) {
      expect(states, state).toContain(state);
    }
  });

  for (const { about, list } of demoDrawings) {
    it(`writes every value of ${about}, none over another, none cut off`, () => {
      for (const drawn of [list, inState(list, 'disagree'), inState(list, 'stale')]) {
        const { placed, size } = onAPhone(drawn);
        const tags = placed.filter(({ tagWidth }) => tagWidth > 0);
        expect(tags.length).toBeGreaterThan(0);
        const papers = tags.map(paper);
        tags.forEach((tag, index) => {
          // A reading nobody has to take may keep its name to itself; never a value.
          if (!tag.shape.optional) expect(tag.crowded, tag.shape.name).toBe(false);
          if (tag.crowded) return;
          for (const [x, y] of papers[index] ?? []) {
            expect(x, `${tag.shape.name} across`).toBeGreaterThan(-1);
            expect(x, `${tag.shape.name} across`).toBeLessThan(size.width + 1);
            expect(y, `${tag.shape.name} down`).toBeGreaterThan(-1);
            expect(y, `${tag.shape.name} down`).toBeLessThan(size.height + 1);
          }
          for (let other = 0; other < index; other++) {
            if (tags[other]?.crowded) continue;
            expect(
              depth(papers[index] ?? [], papers[other] ?? []),
              `${tag.shape.name} and ${tags[other]?.shape.name}`,
            ).toBeLessThan(1.5);
          }
        });
      }
    });
  }

  // WCAG 2.2 asks for 24 px (SC 2.5.8) and 44 px (SC 2.5.5); a gloved thumb gets 48.
  const least = 48;
  for (const { about, list } of demoDrawings.filter((each) => each.about.endsWith('stands'))) {
    it(`gives every needed reading of ${about} a thumb's square of its own`, () => {
      const { placed, size } = onAPhone(list);
      const squares = ownSquares(placed, size);
      const needed = placed.filter(({ shape }) => shape.key !== undefined && !shape.optional);
      expect(needed.length).toBeGreaterThanOrEqual(4);
      for (const { shape, index } of needed) {
        expect(squares.get(index) ?? 0, shape.name).toBeGreaterThanOrEqual(least);
      }
      for (const { shape, index } of placed.filter((each) => each.shape.optional)) {
        expect(squares.get(index) ?? 0, shape.name).toBeGreaterThanOrEqual(24);
      }
    });
  }
});

/** The side of the largest square in which a touch means each shape, to 3 px. */
function ownSquares(placed: readonly Placed[], size: { width: number; height: number }) {
  const step = 3;
  const [across, down] = [Math.floor(size.width / step), Math.floor(size.height / step)];
  const owner = (x: number, y: number) =>
    dimAt(placed, { x: (x + 0.5) * step, y: (y + 0.5) * step })?.index ?? -1;
  const best = new Map<number, number>();
  let above: { who: number; side: number }[] = [];
  for (let y = 0; y < down; y++) {
    const row: { who: number; side: number }[] = [];
    for (let x = 0; x < across; x++) {
      const who = owner(x, y);
      const near = [row[x - 1], above[x], above[x - 1]];
      const side = near.every((each) => each?.who === who)
        ? 1 + Math.min(...near.map((each) => each?.side ?? 0))
        : 1;
      row.push({ who, side });
      best.set(who, Math.max(best.get(who) ?? 0, side * step));
    }
    above = row;
  }
  return best;
}

let box: HTMLElement;

beforeEach(() => {
  box = document.createElement('div');
  document.body.append(box);
});

afterEach(() => {
  render(null, box);
  box.remove();
});

const show = (node: preact.VNode) => act(() => render(node, box));
const nothing = () => undefined;
const drawingOf = (about: string) => {
  const found = demoDrawings.find((each) => each.about === about);
  if (found === undefined) throw new Error(`no drawing ${about}`);
  return found.list;
};
const names = (role: string) =>
  [...box.querySelectorAll(`svg [data-index][role="${role}"]`)].map((each) =>
    each.getAttribute('aria-label'),
  );

describe('an opening as the service draws it', () => {
  it('reads in the order a person walks it', () => {
    show(<Drawing list={drawingOf('Closet pair, as it stands')} onTouch={nothing} />);
    expect(names('button').slice(0, 8)).toEqual([
      'width at the bottom: 50 1/4, taken',
      'width at the middle: 50 3/16, taken',
      'width at the top: 50 3/8, two takes disagree',
      'height, hinge side: 81 3/4, taken',
      'height, strike side: next to take',
      'floor slope: floor, side against side: not taken',
      'lean, hinge side: not taken',
      'lean, strike side: not taken, not needed',
    ]);
  });

  it('takes a touch on an angle that was read, and focus on it', () => {
    const touched = vi.fn();
    show(
      <Drawing list={drawingOf('Pantry door, everything read')} onTouch={touched} selected="x" />,
    );
    const corner = box.querySelector<SVGGElement>('.dim-of-angle[role="button"]');
    expect(corner?.getAttribute('aria-label')).toBe('corner at the head, hinge side: 90.4°, taken');
    act(() => {
      corner?.dispatchEvent(new MouseEvent('click', { bubbles: true, detail: 0 }));
    });
    expect(touched).toHaveBeenCalledWith('corner_hinge');
    const { placed } = onAPhone(drawingOf('Pantry door, everything read'));
    const angle = placed.find(({ shape }) => shape.key === 'corner_hinge');
    expect(angle?.kind).toBe('angle');
    expect(angle && dimAt(placed, angle.tag)?.shape.key).toBe('corner_hinge');
  });

  it('leaves out what nobody has to take where nothing can be touched', () => {
    const list = drawingOf('Linen closet door, as it stands');
    const optional = list.shapes.filter((shape) => shape.optional).length;
    expect(optional).toBeGreaterThan(5);
    show(<Drawing list={list} onTouch={nothing} />);
    expect(box.querySelectorAll('.dim-optional[role="button"]')).toHaveLength(optional);
    show(<Drawing list={list} />);
    expect(box.querySelectorAll('.dim-optional')).toHaveLength(0);
    expect(names('button')).toEqual([]);
    expect(box.querySelectorAll('[tabindex]')).toHaveLength(0);
  });

  it('keeps the reading being taped though the cuts do without it', () => {
    const list = drawingOf('Linen closet door, as it stands');
    const size = { width: 390, height: 240 };
    const transform = transformOf(list, size, wholeView(list));
    const placing = { figure: 17, compact: true, spare: true };
    const keys = (selected?: string) =>
      placeDims(list, transform, size, { ...placing, selected })
        .filter(({ shape }) => shape.optional)
        .map(({ shape, crowded }) => ({ key: shape.key, crowded }));
    expect(keys()).toEqual([]);
    expect(keys('lean_strike')).toEqual([{ key: 'lean_strike', crowded: false }]);
  });
});

describe('a piece as the service draws it', () => {
  const sticks = demoDrawings.filter(({ of }) => of === 'piece');

  it('shows its length, its marks and its angles, though it is low and wide', () => {
    expect(sticks.length).toBeGreaterThanOrEqual(4);
    for (const { about, list } of sticks) {
      const { placed } = onAPhone(list, 330);
      expect(placed.map(({ crowded }) => crowded).some(Boolean), about).toBe(false);
      show(<Drawing list={list} />);
      const shown = [...box.querySelectorAll('.tag text')].map((text) => text.textContent);
      const given = list.shapes.filter(({ kind, text }) => kind !== 'label' && text !== undefined);
      expect(shown.sort(), about).toEqual(given.map(({ text }) => text).sort());
    }
  });

  it('says of a mark what it is, and of a piece whether it is cut', () => {
    show(<Drawing list={drawingOf('Pantry door, casing_a_head')} pieces />);
    expect(names('img')).toEqual([
      'head casing, face A: 29, to cut',
      'miter 45.01°',
      'miter 44.95°',
    ]);
    const stick: Shape = { kind: 'dim', role: 'dim', points: [], key: 'slab', text: '80' };
    expect(dimName({ ...stick, name: 'slab', state: 'taken' }, true)).toBe('slab: 80, cut');
    expect(dimName({ ...stick, name: 'slab', state: 'disagree' }, true)).toBe(
      'slab: 80, cut off the line',
    );
  });

  it('puts no paper under an angle without a value', () => {
    const list = drawingOf('Pantry door, its pieces');
    const bare = list.shapes.filter(({ kind, text }) => kind === 'angle' && text === undefined);
    expect(bare.length).toBeGreaterThan(0);
    show(<Drawing list={list} onTouch={nothing} />);
    expect(box.querySelectorAll('.angle-arc').length).toBeGreaterThanOrEqual(bare.length);
    expect(box.querySelectorAll('.dim-of-angle .tag-paper')).toHaveLength(0);
  });
});

describe('a tag', () => {
  const line = (shape: Partial<Shape>): DrawingList => ({
    title: 'A line',
    width: 3000,
    height: 1000,
    shapes: [
      {
        kind: 'dim',
        role: 'dim',
        state: 'taken',
        text: '12',
        points: [
          [0, 500],
          [3000, 500],
        ],
        ...shape,
      },
    ],
  });
  /** How far along its line the tag stands. */
  const share = (shape: Partial<Shape>) => {
    const [dim] = onAPhone(line(shape)).placed;
    if (dim?.kind !== 'dim') throw new Error('not a dimension');
    const [from, to] = dim.line;
    return (dim.tag.x - from.x) / (to.x - from.x);
  };

  it('stands where its line says, else in the middle, and never over its end', () => {
    expect(share({})).toBeCloseTo(0.5, 3);
    expect(share({ along: 70 })).toBeCloseTo(0.7, 3);
    expect(share({ along: 20 })).toBeCloseTo(0.2, 3);
    expect(share({ along: 100 })).toBeGreaterThan(0.8);
    expect(share({ along: 100 })).toBeLessThan(0.96);
  });
});

it('draws nothing of an empty list', () => {
  show(<Drawing list={{ title: '', width: 0, height: 0, shapes: [] }} onTouch={nothing} />);
  expect(box.innerHTML).toBe('');
  // Go's nil slice is null in JSON.
  const nil = { title: '', width: 0, height: 0, shapes: null } as unknown as DrawingList;
  show(<Drawing list={nil} />);
  expect(box.innerHTML).toBe('');
});
