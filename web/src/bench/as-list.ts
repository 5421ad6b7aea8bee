import type { ItemView } from '../api/views.ts';
import type { DrawingList } from '../parts/drawing-list.ts';

/** A drawing as the service describes it. OpenAPI has no word for a pair: its points come as lists. */
export function asList(drawing: ItemView['drawing']): DrawingList {
  return drawing as unknown as DrawingList;
}

export function isDrawn(drawing: ItemView['drawing'] | undefined): drawing is ItemView['drawing'] {
  return drawing !== undefined && (drawing.shapes ?? []).length > 0;
}
