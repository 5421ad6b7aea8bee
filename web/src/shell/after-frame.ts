import { options } from 'preact';
import { useEffect, useState } from 'preact/hooks';

/** Does something once what is being drawn now is on the screen. Returns how to leave it undone. */
export function afterFrame(work: () => void): () => void {
  let timer: ReturnType<typeof setTimeout> | undefined;
  const stop = () => {
    cancelAnimationFrame(frame);
    clearTimeout(timer);
    clearTimeout(late);
  };
  const now = () => {
    stop();
    work();
  };
  const frame = requestAnimationFrame(() => {
    timer = setTimeout(now);
  });
  // A page that nobody looks at has no frames.
  const late = setTimeout(now, 1_000);
  return stop;
}

/** Kept when what is being drawn now is on the screen. */
export function drawn(): Promise<void> {
  return new Promise((done) => afterFrame(done));
}

/**
 * What a page's first screen sets going begins when that has been seen. One that stands already, drawn from
 * what the device kept, is given another frame: what begins in the first holds up what the thumb does next.
 * Later screens begin as Preact has it.
 */
export function firstScreenFirst(stands: boolean): void {
  options.requestAnimationFrame = (begin) => {
    delete options.requestAnimationFrame;
    afterFrame(() => {
      seen = true;
      if (stands) afterFrame(begin);
      else begin();
    });
  };
}

let seen = false;

/** True once this page has shown something. */
export function somethingSeen(): boolean {
  return seen;
}

/**
 * How many of a long list to draw now: those that a screen begins with, and after each frame some
 * more, so that the first is there at once and none of them holds the page up.
 */
export function useSoFar(all: number, first: number, step: number): number {
  const [count, setCount] = useState(first);
  useEffect(() => {
    if (count >= all) return;
    return afterFrame(() => setCount(count + step));
  }, [count, all]);
  return Math.min(count, all);
}
