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
