import { rulebook } from '../rulebook/load.ts';
import type { Parsed } from '../rulebook/rulebook.ts';
import { session } from '../sign-in/session.ts';

/** What a person typed, read by the rule book in the person's own unit. */
export function readLength(text: string): Promise<Parsed> {
  const now = session.peek();
  return rulebook().parseLength(text, now.state === 'in' ? now.me.unit : 'in');
}
