import type { Box, PlacedDim, Px } from './drawing-layout.ts';

const reach = 30;

/**
 * The dimension a finger meant: touch areas overlap in a tight drawing, so the nearest tag wins,
 * then the nearest line. Null when nothing that can be touched is within reach.
 */
export function dimAt(dims: readonly PlacedDim[], point: Px): PlacedDim | null {
  let best: PlacedDim | null = null;
  let nearest = reach;
  for (const dim of dims) {
    if (dim.shape.key === undefined) continue;
    const toTag = dim.crowded ? reach : Math.min(...dim.boxes.map((box) => toBox(point, box)));
    const toLine = toSegment(point, dim.line[0], dim.line[1]) + 8;
    const distance = Math.min(toTag, toLine);
    if (distance < nearest) {
      nearest = distance;
      best = dim;
    }
  }
  return best;
}

function toBox(point: Px, box: Box): number {
  const x = Math.max(box.left - point.x, 0, point.x - box.right);
  const y = Math.max(box.top - point.y, 0, point.y - box.bottom);
  return Math.hypot(x, y);
}

function toSegment(point: Px, from: Px, to: Px): number {
  const dx = to.x - from.x;
  const dy = to.y - from.y;
  const square = dx * dx + dy * dy;
  const share =
    square === 0
      ? 0
      : Math.min(Math.max(((point.x - from.x) * dx + (point.y - from.y) * dy) / square, 0), 1);
  return Math.hypot(point.x - from.x - share * dx, point.y - from.y - share * dy);
}
