import { type Parsed, type Rulebook, RulebookError } from './rulebook.ts';

/**
 * A rule book for tests and the gallery that knows only the answers it is given. It reads no
 * notation itself: a second reader of lengths would drift from the real one.
 */
export function fakeRulebook(
  answers: Readonly<Record<string, Parsed>>,
  otherwise = 'Type it as 79 5/8 or 2018 mm.',
): Rulebook {
  const byLength = new Map<number, string>();
  for (const answer of Object.values(answers)) {
    if ('nm' in answer) byLength.set(answer.nm, answer.text);
  }
  return {
    parseLength: (text) => Promise.resolve(answers[text.trim()] ?? { sentence: otherwise }),
    printLength: (nm) => {
      const text = byLength.get(nm);
      return text === undefined
        ? Promise.reject(new RulebookError(`no answer given for ${nm}`))
        : Promise.resolve(text);
    },
    callText: (name) => Promise.reject(new RulebookError(`no answer given for ${name}`)),
    call: (name) => Promise.reject(new RulebookError(`no answer given for ${name}`)),
  };
}
