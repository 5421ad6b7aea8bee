import { signal } from '@preact/signals';

export type Tool = 'tape' | 'laser';

const key = 'longpoint.tool';

/** What this person measures with; the log says it of every take. */
export const tool = signal<Tool>(known());

export function measureWith(what: Tool): void {
  tool.value = what;
  try {
    localStorage.setItem(key, what);
  } catch {
    // Storage is off: asked again next time.
  }
}

function known(): Tool {
  try {
    return localStorage.getItem(key) === 'laser' ? 'laser' : 'tape';
  } catch {
    return 'tape';
  }
}
