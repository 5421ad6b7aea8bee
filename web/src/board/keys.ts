import { signal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import { remember, remembered } from '../remembered.ts';

const kept = 'longpoint.keys';

/** Whether single keys do things. A person who dictates or leans on a key turns them off. */
export const keysOn = signal(remembered(kept) !== 'off');

export function turnKeys(on: boolean): void {
  keysOn.value = on;
  remember(kept, on ? null : 'off');
}

/** True where a key typed belongs to what has the focus, or to a sheet that lies over the page. */
export function isTaken(event: KeyboardEvent): boolean {
  if (event.defaultPrevented || event.ctrlKey || event.metaKey || event.altKey) return true;
  const { target } = event;
  if (!(target instanceof HTMLElement)) return false;
  if (target.isContentEditable || document.querySelector('dialog[open]') !== null) return true;
  return target.closest('input, textarea, select, [role="textbox"]') !== null;
}

export type Keys = Readonly<Record<string, () => void>>;

/** Single keys of a screen, while it is shown, no field has the focus and they are not turned off. */
export function useKeys(keys: Keys): void {
  const latest = useRef(keys);
  latest.current = keys;
  useEffect(() => {
    const onKey = (event: KeyboardEvent) => {
      if (!keysOn.peek() || isTaken(event)) return;
      const act = latest.current[event.key];
      if (act === undefined) return;
      event.preventDefault();
      act();
    };
    document.addEventListener('keydown', onKey);
    return () => document.removeEventListener('keydown', onKey);
  }, []);
}
