import at from 'virtual:rule-words';
import { language } from '../words/words.ts';
import type { Answer, Question } from './messages.ts';
import { type Caller, type Rulebook, RulebookError, rulebookOver } from './rulebook.ts';

/** The part of a Worker this needs; tests hand in their own. */
export interface RulesWorker {
  onmessage: ((event: MessageEvent<Answer>) => void) | null;
  onerror: ((event: ErrorEvent) => void) | null;
  postMessage(question: Question): void;
}

interface Waiting {
  readonly resolve: (json: string) => void;
  readonly reject: (cause: RulebookError) => void;
}

/** `onBroken` is told when the worker answers nothing any more: another is needed. */
export function callerOver(worker: RulesWorker, onBroken: () => void = () => undefined): Caller {
  const waiting = new Map<number, Waiting>();
  let last = 0;
  let broken: RulebookError | undefined;
  worker.onmessage = ({ data }) => {
    const call = waiting.get(data.id);
    waiting.delete(data.id);
    if ('error' in data) call?.reject(new RulebookError(data.error));
    else call?.resolve(data.json);
  };
  worker.onerror = (event) => {
    broken = new RulebookError(event.message);
    for (const call of waiting.values()) call.reject(broken);
    waiting.clear();
    onBroken();
  };
  return (name, json) =>
    new Promise((resolve, reject) => {
      if (broken !== undefined) throw broken;
      last += 1;
      waiting.set(last, { resolve, reject });
      const speaks = language.peek().code;
      worker.postMessage({
        id: last,
        name,
        json,
        words: { language: speaks, at: at[speaks] },
      });
    });
}

let shared: Rulebook | undefined;

/**
 * The app's one rule book; the worker starts at the first call and loads the rules once. One that
 * broke, or whose own file did not come, is started anew by the call after.
 */
export function rulebook(): Rulebook {
  shared ??= begin();
  return shared;
}

function begin(): Rulebook {
  const worker = new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' });
  return rulebookOver(
    callerOver(worker, () => {
      worker.terminate();
      shared = undefined;
    }),
  );
}

/**
 * Loads the rules before they are asked for, so that a laser or a voice is still understood when the
 * signal is gone. Nothing hangs on it: a load that fails is tried again at the first question.
 */
export function fetchRules(): void {
  rulebook()
    .printLength(0, 'in', 1_587_500)
    .catch(() => undefined);
}
