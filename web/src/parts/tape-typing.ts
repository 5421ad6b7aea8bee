import { useEffect, useRef, useState } from 'preact/hooks';
import type { Parsed } from '../rulebook/rulebook.ts';

export type Typing =
  | { readonly kind: 'nothing' }
  | { readonly kind: 'reading' }
  | { readonly kind: 'read'; readonly nm: number; readonly text: string }
  | { readonly kind: 'refused'; readonly sentence: string }
  | { readonly kind: 'failed' };

export interface TypingField {
  readonly text: string;
  readonly typing: Typing;
  type(text: string): void;
  clear(): void;
  /** Settles the text as it stands now: a laser's Enter comes before the last answer does. */
  settle(): Promise<Typing>;
}

const pause = 120;

/**
 * The text field's side of a reading: asks the rule book what was typed, a moment after the last
 * character, and never lets an older answer overtake a newer text.
 */
export function useTyping(
  parse: (text: string) => Promise<Parsed>,
  onRead: (typing: Typing) => void,
): TypingField {
  const [text, setText] = useState('');
  const [typing, setTyping] = useState<Typing>({ kind: 'nothing' });
  const latest = useRef({ text: '', turn: 0, timer: 0 });

  useEffect(() => () => window.clearTimeout(latest.current.timer), []);

  const show = (answer: Typing): Typing => {
    setTyping(answer);
    onRead(answer);
    return answer;
  };

  const ask = async (): Promise<Typing> => {
    window.clearTimeout(latest.current.timer);
    const asked = latest.current.text.trim();
    latest.current.turn += 1;
    const { turn } = latest.current;
    if (asked === '') return show({ kind: 'nothing' });
    let answer: Typing;
    try {
      const parsed = await parse(asked);
      answer =
        'sentence' in parsed
          ? { kind: 'refused', sentence: parsed.sentence }
          : { kind: 'read', nm: parsed.nm, text: parsed.text };
    } catch {
      answer = { kind: 'failed' };
    }
    return turn === latest.current.turn ? show(answer) : { kind: 'reading' };
  };

  return {
    text,
    typing,
    type(typed) {
      latest.current.text = typed;
      latest.current.turn += 1;
      setText(typed);
      setTyping(typed.trim() === '' ? { kind: 'nothing' } : { kind: 'reading' });
      window.clearTimeout(latest.current.timer);
      latest.current.timer = window.setTimeout(() => void ask(), pause);
    },
    clear() {
      window.clearTimeout(latest.current.timer);
      latest.current.text = '';
      latest.current.turn += 1;
      setText('');
      setTyping({ kind: 'nothing' });
    },
    settle: ask,
  };
}
