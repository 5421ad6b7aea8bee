import { render } from 'preact';
import { act } from 'preact/test-utils';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { Drawing, dimName } from '../src/parts/drawing.tsx';
import { placeDims, transformOf, wholeView } from '../src/parts/drawing-layout.ts';
import { dimAt } from '../src/parts/drawing-touch.ts';
import { viewOf } from '../src/parts/drawing-view.ts';
import { doorOpening } from './fixtures/door-opening.ts';

let box: HTMLElement;

beforeEach(() => {
  box = document.createElement('div');
  document.body.append(box);
});

afterEach(() => {
  render(null, box);
  box.remove();
});

const named = () =>
  [...box.querySelectorAll('svg [role="button"]')].map((dim) => dim.getAttribute('aria-label'));

describe('a drawing reads as its table', () => {
  it('names every reading and its state, in list order', () => {
    act(() => render(<Drawing list={doorOpening} onTouch={() => {}} />, box));
    expect(box.querySelector('svg')?.getAttribute('aria-label')).toBe(
      'Bedroom 2 door, from the hall',
    );
    expect(named()).toEqual([
      'Width, bottom: 30, taken',
      'Width, middle: 30 1/16, taken',
      'Width, top: 30 1/8, two takes disagree',
      'Height, hinge side: 80 3/8, taken',
      'Height, strike side: next to take',
      'Floor out of level: 1/8, taken',
      'Lean, hinge side: not taken',
      'Lean, strike side: not taken',
      'Diagonal, hinge head to strike floor: not taken',
      'Slab width: 28, worked out',
      'Slab height after trimming: 79 1/8, worked out',
      'Jamb leg, strike side: 80 1/4, out of date',
    ]);
    expect(box.querySelector('figcaption')?.textContent).toBe(
      'Gaps, leans and slopes drawn 8 times their size.',
    );
  });

  it('keeps the printed value searchable in one text', () => {
    act(() => render(<Drawing list={doorOpening} />, box));
    const texts = [...box.querySelectorAll('.tag text')].map((text) => text.textContent);
    expect(texts).toContain('30 1/16');
    expect(texts).toContain('79 1/8');
  });

  it('has one stop for the Tab key, on the next reading', () => {
    act(() => render(<Drawing list={doorOpening} onTouch={() => {}} />, box));
    const stops = [...box.querySelectorAll('svg [tabindex="0"]')];
    expect(stops.map((stop) => stop.getAttribute('aria-label'))).toEqual([
      'Height, strike side: next to take',
    ]);
  });

  it('does not name what is not there', () => {
    expect(dimName({ kind: 'dim', role: 'dim', points: [], text: 'Lean', state: 'missing' })).toBe(
      'Lean: not taken',
    );
  });
});

describe('the keyboard walks the dimensions', () => {
  const press = (key: string) =>
    act(() => {
      document.activeElement?.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true }));
    });
  const here = () => document.activeElement?.getAttribute('aria-label');

  it('moves in list order, stops at both ends, and Enter opens the tape', () => {
    const touched = vi.fn();
    act(() => render(<Drawing list={doorOpening} onTouch={touched} />, box));
    act(() => box.querySelector<SVGGElement>('svg [tabindex="0"]')?.focus());
    press('ArrowDown');
    expect(here()).toBe('Floor out of level: 1/8, taken');
    press('ArrowLeft');
    press('ArrowUp');
    expect(here()).toBe('Height, hinge side: 80 3/8, taken');
    press('Enter');
    expect(touched).toHaveBeenLastCalledWith('height_hinge');
    press('Home');
    press('ArrowUp');
    expect(here()).toBe('Width, bottom: 30, taken');
    press('End');
    press('ArrowDown');
    expect(here()).toBe('Jamb leg, strike side: 80 1/4, out of date');
    press(' ');
    expect(touched).toHaveBeenLastCalledWith('leg_strike');
  });

  it("takes a screen reader's press, which has no place on the screen", () => {
    const touched = vi.fn();
    act(() => render(<Drawing list={doorOpening} onTouch={touched} />, box));
    const dim = box.querySelector('[aria-label^="Width, middle"]');
    act(() => {
      dim?.dispatchEvent(new MouseEvent('click', { bubbles: true, detail: 0 }));
    });
    expect(touched).toHaveBeenCalledWith('width_middle');
  });
});

describe('tags find room', () => {
  const place = (width: number, height: number, selected?: string, compact = false) => {
    const size = { width, height };
    const transform = transformOf(doorOpening, size, wholeView(doorOpening));
    return {
      size,
      dims: placeDims(doorOpening, transform, size, { figure: 17, selected, compact }),
    };
  };

  it('keeps every value on a phone, none over another, none cut off', () => {
    const { dims, size } = place(390, 635);
    for (const dim of dims) {
      expect(dim.crowded, dim.shape.name).toBe(false);
      for (const area of dim.boxes) {
        expect(area.left, dim.shape.name).toBeGreaterThanOrEqual(0);
        expect(area.right, dim.shape.name).toBeLessThanOrEqual(size.width);
      }
      for (const other of dims) {
        if (other.index <= dim.index) continue;
        expect(overlapping(dim.boxes, other.boxes), `${dim.shape.name} ${other.shape.name}`).toBe(
          false,
        );
      }
    }
  });

  it('gives up other values, never the one being taped, in a small drawing over the tape', () => {
    const { dims, size } = place(390, 220, 'height_strike', true);
    const taping = dims.find(({ shape }) => shape.key === 'height_strike');
    expect(taping?.crowded).toBe(false);
    for (const area of taping?.boxes ?? []) {
      expect(area.top).toBeGreaterThanOrEqual(0);
      expect(area.bottom).toBeLessThanOrEqual(size.height);
    }
    // What is written lies over nothing else that is; what has no room is left out.
    const written = dims.filter(({ crowded }) => !crowded);
    for (const [at, dim] of written.entries()) {
      for (const other of written.slice(at + 1)) {
        expect(overlapping(dim.boxes, other.boxes), `${dim.shape.name} ${other.shape.name}`).toBe(
          false,
        );
      }
    }
    expect(dims.length - written.length).toBeGreaterThan(5);
  });

  it('takes the nearest dimension where touch areas overlap, and none from far away', () => {
    const { dims } = place(390, 635);
    for (const dim of dims.filter(({ shape }) => shape.key !== undefined)) {
      expect(dimAt(dims, dim.tag)?.shape.key).toBe(dim.shape.key);
    }
    expect(dimAt(dims, { x: -200, y: -200 })).toBeNull();
  });
});

describe('the view', () => {
  it('comes close to a short dimension and shows the whole for a long one', () => {
    const size = { width: 390, height: 300 };
    const short = viewOf(doorOpening, 'width_bottom', size);
    expect(short.zoom).toBeGreaterThan(1.5);
    expect(short.center.y).toBeGreaterThan(doorOpening.height / 2);
    expect(viewOf(doorOpening, 'height_hinge', size)).toEqual(wholeView(doorOpening));
    expect(viewOf(doorOpening, 'no such key', size)).toEqual(wholeView(doorOpening));
  });
});

interface Area {
  left: number;
  right: number;
  top: number;
  bottom: number;
}

function overlapping(some: readonly Area[], others: readonly Area[]): boolean {
  return some.some((a) =>
    others.some(
      (b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom,
    ),
  );
}
