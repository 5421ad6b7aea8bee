/*
 * Whether a reload would take something from under someone's hands. Read from the screen itself, so
 * that no screen has to remember to say so.
 */

/** Work that is only in this page's memory; a reload would lose it. */
const onlyHere = new Set<() => boolean>();

/** The page stays as it is while `unsaved` says so. */
export function holdWhile(unsaved: () => boolean): void {
  onlyHere.add(unsaved);
}

/** Nothing is being typed or taped, no sheet is open, and everything entered is on the device. */
export function isQuiet(): boolean {
  if (isBusy() || document.querySelector('.tape, dialog[open]:not(.lock-over)') !== null)
    return false;
  if ([...onlyHere].some((unsaved) => unsaved())) return false;
  if (isText(document.activeElement)) return false;
  // A field holding what the page did not put there: Preact sets the value, never the default.
  return ![...document.querySelectorAll('input, textarea')].some(
    (field) => isText(field) && field.value !== '' && field.value !== field.defaultValue,
  );
}

/** Something is on its way: a screen being made, an entry being sent. */
export function isBusy(): boolean {
  return document.querySelector('[aria-busy="true"]') !== null;
}

function isText(field: Element | null): field is HTMLInputElement | HTMLTextAreaElement {
  if (field instanceof HTMLTextAreaElement) return true;
  if (!(field instanceof HTMLInputElement)) return false;
  return !['button', 'checkbox', 'file', 'radio', 'range', 'submit'].includes(field.type);
}
