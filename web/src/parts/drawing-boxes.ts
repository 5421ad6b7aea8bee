export interface Px {
  readonly x: number;
  readonly y: number;
}

export interface Box {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

export interface Size {
  readonly width: number;
  readonly height: number;
}

export type Segment = readonly [Px, Px];

/** A line of a path. */
export function segment(from: Px, to: Px): string {
  return `M${round(from.x)} ${round(from.y)}L${round(to.x)} ${round(to.y)}`;
}

/** To a hundredth of a pixel, which is as fine as a screen shows. */
export function round(value: number): number {
  return Math.round(value * 100) / 100;
}

export function shift(point: Px, by: Px, distance: number): Px {
  return { x: point.x + by.x * distance, y: point.y + by.y * distance };
}

export function shiftBox(box: Box, x: number, y: number): Box {
  return { left: box.left + x, right: box.right + x, top: box.top + y, bottom: box.bottom + y };
}

/** The angle, in degrees, at which text along a line is still read from below or from the right. */
export function upright(direction: Px): number {
  const angle = (Math.atan2(direction.y, direction.x) * 180) / Math.PI;
  if (angle > 89) return angle - 180;
  if (angle < -91) return angle + 180;
  return angle;
}

/** How far a turned box reaches along an axis. */
export function extent(axis: Px, turn: number, width: number, height: number): number {
  const angle = (turn * Math.PI) / 180;
  const cos = Math.cos(angle);
  const sin = Math.sin(angle);
  return (
    Math.abs(axis.x * cos + axis.y * sin) * width + Math.abs(-axis.x * sin + axis.y * cos) * height
  );
}

/** A turned tag is covered by a row of small upright boxes, an upright one by a single box. */
export function tagBoxes(center: Px, turn: number, width: number, height: number): Box[] {
  if (Math.abs(turn) < 1) return [boxAround(center, width, height)];
  const angle = (turn * Math.PI) / 180;
  const count = Math.max(1, Math.ceil(width / height));
  const step = width / count;
  // A slanted tag's corners are empty paper; an upright one's are not.
  const snug = 1 - 0.2 * Math.abs(Math.sin(2 * angle));
  const grown = (Math.abs(Math.cos(angle)) + Math.abs(Math.sin(angle))) * snug;
  return Array.from({ length: count }, (_, index) => {
    const distance = (index + 0.5) * step - width / 2;
    const at = {
      x: center.x + Math.cos(angle) * distance,
      y: center.y + Math.sin(angle) * distance,
    };
    return boxAround(at, Math.max(step, height) * grown, height * grown);
  });
}

export function boxAround(center: Px, width: number, height: number): Box {
  return {
    left: center.x - width / 2,
    right: center.x + width / 2,
    top: center.y - height / 2,
    bottom: center.y + height / 2,
  };
}

export function intoView(boxes: readonly Box[], size: Size): Px {
  const edge = 2;
  const left = Math.min(...boxes.map((box) => box.left));
  const right = Math.max(...boxes.map((box) => box.right));
  const top = Math.min(...boxes.map((box) => box.top));
  const bottom = Math.max(...boxes.map((box) => box.bottom));
  // Only tags at the edge are pulled in; one far outside belongs to a part that is out of sight.
  const reach = 90;
  const x = left < edge ? edge - left : right > size.width - edge ? size.width - edge - right : 0;
  const y = top < edge ? edge - top : bottom > size.height - edge ? size.height - edge - bottom : 0;
  return Math.abs(x) > reach || Math.abs(y) > reach ? { x: 0, y: 0 } : { x, y };
}

export function within(boxes: readonly Box[], size: Size): boolean {
  return boxes.every(
    (box) => box.left >= 0 && box.top >= 0 && box.right <= size.width && box.bottom <= size.height,
  );
}

/** The area two sets of boxes share, each grown by half of `grow` on every side. */
export function overlap(boxes: readonly Box[], taken: readonly Box[], grow: number): number {
  let area = 0;
  for (const box of boxes) {
    for (const other of taken) {
      const width = Math.min(box.right, other.right) - Math.max(box.left, other.left) + grow;
      const height = Math.min(box.bottom, other.bottom) - Math.max(box.top, other.top) + grow;
      if (width > 0 && height > 0) area += width * height;
    }
  }
  return area;
}

export function inside(point: Px, outline: readonly Px[]): boolean {
  let within = false;
  outline.forEach((a, index) => {
    const b = outline[(index + 1) % outline.length] ?? a;
    if (a.y > point.y !== b.y > point.y) {
      const x = a.x + ((point.y - a.y) / (b.y - a.y)) * (b.x - a.x);
      if (point.x < x) within = !within;
    }
  });
  return within;
}
