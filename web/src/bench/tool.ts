import { signal } from '@preact/signals';
import { remember, remembered } from '../remembered.ts';

export type Tool = 'tape' | 'laser';

const key = 'longpoint.tool';

/** What this person measures with; the log says it of every take. */
export const tool = signal<Tool>(remembered(key) === 'laser' ? 'laser' : 'tape');

export function measureWith(what: Tool): void {
  tool.value = what;
  remember(key, what);
}
