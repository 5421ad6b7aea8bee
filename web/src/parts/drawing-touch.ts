import type { Box, Px, Segment } from './drawing-boxes.ts';
import type { Placed } from './drawing-layout.ts';

const reach = 30;

/** A line runs under other tags on its way: a tag near the finger is meant before it. */
const crossing = 22;

/** A reading the cuts do without gives way to one they need. */
const giving = 4;

/**
 * The dimension or angle a finger meant: touch areas overlap in a tight drawing, so the nearest tag
 * wins, then the nearest line. Null when nothing that can be touched is within reach.
 */
export function dimAt(placed: readonly Placed[], point: Px): Placed | null {
  let best: Placed | null = null;
  let nearest = Infinity;
  for (const each of placed) {
    if (each.shape.key === undefined) continue;
    if (each.kind === 'spot') {
      const to = Math.min(toBox(point, each.pole), ...each.boxes.map((box) => toBox(point, box)));
      if (to < nearest && to < reach) {
        nearest = to;
        best = each;
      }
      continue;
    }
    const bare = each.crowded || each.boxes.length === 0;
    const toTag = bare ? Infinity : Math.min(...each.boxes.map((box) => toBox(point, box)));
    const toLine = Math.min(...each.strokes.map((stroke) => toSegment(point, stroke)));
    if (Math.min(toTag, toLine) >= reach) continue;
    const distance =
      Math.min(toTag, bare ? toLine : toLine + crossing) + (each.shape.optional ? giving : 0);
    if (distance < nearest) {
      nearest = distance;
      best = each;
    }
  }
  return best;
}

function toBox(point: Px, box: Box): number {
  const x = Math.max(box.left - point.x, 0, point.x - box.right);
  const y = Math.max(box.top - point.y, 0, point.y - box.bottom);
  return Math.hypot(x, y);
}

function toSegment(point: Px, [from, to]: Segment): number {
  const dx = to.x - from.x;
  const dy = to.y - from.y;
  const square = dx * dx + dy * dy;
  const share =
    square === 0
      ? 0
      : Math.min(Math.max(((point.x - from.x) * dx + (point.y - from.y) * dy) / square, 0), 1);
  return Math.hypot(point.x - from.x - share * dx, point.y - from.y - share * dy);
}
