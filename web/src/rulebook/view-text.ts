import type { ItemView, JobView } from '../api/views.ts';

/*
 * A view's text is what the rule book wrote and what the device keeps: as text it is compared and put
 * away in a fraction of the time that its parts take.
 */

const texts = new WeakMap<object, string>();

export function readView<View extends ItemView | JobView>(text: string): View {
  const view = JSON.parse(text) as View;
  texts.set(view, text);
  return view;
}

export function textOf(view: object): string {
  return texts.get(view) ?? JSON.stringify(view);
}

/** Whether two views say the same. The service writes a few signs otherwise than the browser does. */
export function sameText(one: object, other: object): boolean {
  return textOf(one) === textOf(other) || JSON.stringify(one) === JSON.stringify(other);
}
