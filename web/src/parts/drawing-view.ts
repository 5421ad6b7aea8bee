import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
import { afterFrame, somethingSeen } from '../shell/after-frame.ts';
import type { Size } from './drawing-boxes.ts';
import { type View, wholeView } from './drawing-layout.ts';
import type { DrawingList } from './drawing-list.ts';

// Drawings that nobody sees yet, one after another: each is a task of its own, and none holds up the page.
const unseen = new Set<() => void>();
let begun = false;

function inTurn(work: () => void): () => void {
  unseen.add(work);
  if (!begun) {
    begun = true;
    afterFrame(nextUnseen);
  }
  return () => unseen.delete(work);
}

function nextUnseen(): void {
  begun = false;
  const [work] = unseen;
  if (work === undefined) return;
  unseen.delete(work);
  work();
  const [left] = unseen;
  if (left !== undefined) inTurn(left);
}

/** True once this page has drawn one. */
let drawnBefore = false;

/**
 * The box a drawing has on the screen, followed as it changes. Where a page has a size at all, nothing
 * is laid out for the first guess: `known` is false until the box was measured, before it is painted.
 * What lies below the screen keeps its place empty, and is drawn when what is seen has been.
 */
export function useSize(first: Size) {
  const ref = useRef<HTMLDivElement>(null);
  const [size, setSize] = useState<Size>(first);
  const [known, setKnown] = useState(() => document.documentElement.clientWidth === 0);
  useLayoutEffect(() => {
    const element = ref.current;
    if (element === null || typeof ResizeObserver === 'undefined') return setKnown(true);
    let shown = false;
    let leave = () => {};
    const read = () => {
      const { width, height, top } = element.getBoundingClientRect();
      if (width === 0 || height === 0) return;
      const show = () => {
        shown = true;
        leave();
        setKnown(true);
        setSize((was) => (was.width === width && was.height === height ? was : { width, height }));
      };
      leave();
      // A page's first drawing is its slowest: with something on the screen already, it is a task of its own.
      if (shown || (top < innerHeight && (drawnBefore || !somethingSeen()))) show();
      else leave = inTurn(show);
    };
    // The browser tells of it when the page has been laid out, and before it is painted.
    const observer = new ResizeObserver(read);
    observer.observe(element);
    // On paper all of it stands.
    const all = () => {
      shown = true;
      read();
    };
    addEventListener('beforeprint', all);
    return () => {
      leave();
      observer.disconnect();
      removeEventListener('beforeprint', all);
    };
  }, []);
  return { ref, size, known };
}

/**
 * False while a page draws its first drawing: what nobody has to take comes a frame later, so that what is
 * to be taken is there sooner. The code that draws runs for the first time then, and is at its slowest.
 */
export function useWhole(known: boolean): boolean {
  const [whole, setWhole] = useState(drawnBefore || document.documentElement.clientWidth === 0);
  useLayoutEffect(() => {
    if (whole || !known) return;
    return afterFrame(() => {
      drawnBefore = true;
      setWhole(true);
    });
  }, [known]);
  return whole;
}

const settle = 260;

/** The view on its way to the dimension asked for; at once for a person who wants no motion. */
export function useView(list: DrawingList, focusOn: string | undefined, size: Size): View {
  const [view, setView] = useState<View>(() => wholeView(list));
  const current = useRef(view);
  current.current = view;
  useEffect(() => {
    const goal = focusOn === undefined ? wholeView(list) : viewOf(list, focusOn, size);
    const start = current.current;
    if (same(start, goal)) return;
    if (matchMedia('(prefers-reduced-motion: reduce)').matches) {
      setView(goal);
      return;
    }
    const began = performance.now();
    let frame = requestAnimationFrame(function step(now) {
      const share = Math.min((now - began) / settle, 1);
      const eased = 1 - (1 - share) ** 3;
      setView(share === 1 ? goal : between(start, goal, eased));
      if (share < 1) frame = requestAnimationFrame(step);
    });
    return () => cancelAnimationFrame(frame);
  }, [list, focusOn, size]);
  return view;
}

function between(from: View, to: View, share: number): View {
  const mix = (a: number, b: number) => a + (b - a) * share;
  return {
    zoom: mix(from.zoom, to.zoom),
    center: { x: mix(from.center.x, to.center.x), y: mix(from.center.y, to.center.y) },
  };
}

function same(a: View, b: View): boolean {
  return a.zoom === b.zoom && a.center.x === b.center.x && a.center.y === b.center.y;
}

const closest = 2.6;

/** The view that shows one dimension large with its line whole, but never less than the drawing. */
export function viewOf(list: DrawingList, key: string, size: Size): View {
  const whole = wholeView(list);
  const shape = list.shapes.find((candidate) => candidate.key === key);
  const first = shape?.points[0];
  const last = shape?.points[shape.points.length - 1];
  if (shape === undefined || first === undefined || last === undefined) return whole;
  const length = Math.hypot(last[0] - first[0], last[1] - first[1]) || 1;
  const off = shape.offset ?? 0;
  const normal = [(last[1] - first[1]) / length, -(last[0] - first[0]) / length] as const;
  const xs = [first[0], last[0], first[0] + normal[0] * off, last[0] + normal[0] * off];
  const ys = [first[1], last[1], first[1] + normal[1] * off, last[1] + normal[1] * off];
  const wide = Math.max(Math.max(...xs) - Math.min(...xs), 1);
  const tall = Math.max(Math.max(...ys) - Math.min(...ys), 1);
  const fit = Math.min(size.width / list.width, size.height / list.height);
  const room = 0.62;
  const zoom = Math.min(
    closest,
    (room * size.width) / (wide * fit),
    (room * size.height) / (tall * fit),
  );
  if (zoom <= 1.05) return whole;
  // Keep the drawing's edge from drifting into the middle of the screen.
  const halfWide = Math.min(list.width, size.width / (fit * zoom)) / 2;
  const halfTall = Math.min(list.height, size.height / (fit * zoom)) / 2;
  const clamp = (value: number, low: number, high: number) => Math.min(Math.max(value, low), high);
  return {
    zoom,
    center: {
      x: clamp((Math.min(...xs) + Math.max(...xs)) / 2, halfWide, list.width - halfWide),
      y: clamp((Math.min(...ys) + Math.max(...ys)) / 2, halfTall, list.height - halfTall),
    },
  };
}
