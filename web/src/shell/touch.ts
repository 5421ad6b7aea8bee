let was = false;

/** From the page's first moment. The browser's own note of it outlives a reload. */
export function watchTouch(): void {
  for (const kind of ['pointerdown', 'keydown']) {
    addEventListener(kind, () => (was = true), { once: true, capture: true });
  }
}

/** True once the person has touched or typed anything since the page was opened. */
export function touched(): boolean {
  return was;
}
