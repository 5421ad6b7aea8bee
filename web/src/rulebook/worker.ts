// Both are made by `make web` from the same Go. Their addresses hold a hash of what is in them, so
// the app only ever runs with the rules it was built with, and a new build fetches what changed.
import rulesUrl from './made/rulebook.wasm?url';
import runtimeUrl from './made/wasm_exec.js?url';
import type { Answer, Question, Words } from './messages.ts';
import warmUrl from './warm.json?url';
import { type Warming, type WarmLog, warming } from './warm.ts';

// Runs in a worker. The Go side sets one global function and then waits.
interface GoRuntime {
  env: Record<string, string>;
  readonly importObject: WebAssembly.Imports;
  run(instance: WebAssembly.Instance): Promise<void>;
}

interface RulesScope {
  Go?: new () => GoRuntime;
  longpoint_call?: (name: string, json: string) => string;
  onmessage: ((event: MessageEvent<Question>) => void) | null;
  postMessage(answer: Answer): void;
}

const scope = globalThis as unknown as RulesScope;

async function load(): Promise<(name: string, json: string) => string> {
  const file = fetch(rulesUrl);
  file.catch(() => undefined); // said below, where it is awaited
  await import(/* @vite-ignore */ runtimeUrl);
  if (scope.Go === undefined) throw new Error('wasm_exec.js did not set Go');
  const go = new scope.Go();
  // A view of a large job makes much that is soon dropped: collecting half as often takes a sixth
  // off its time and adds some megabytes.
  go.env = { GOGC: '200' };
  const { instance } = await WebAssembly.instantiateStreaming(file, go.importObject);
  // run settles only when the Go program ends; by the time it first waits, the function is set.
  void go.run(instance);
  if (scope.longpoint_call === undefined)
    throw new Error('rulebook.wasm did not set longpoint_call');
  return scope.longpoint_call;
}

let rules: Promise<(name: string, json: string) => string> | undefined;
let spoken: string | undefined;
let warmth: Warming | undefined;

/** Long enough that questions asked one after another are not waited between. */
const idle = 100; // ms
const later = (work: () => void): void => void setTimeout(work, idle);

async function warmLog(): Promise<WarmLog> {
  const file = await fetch(warmUrl);
  if (!file.ok) throw new Error('warm.json is not there');
  return (await file.json()) as WarmLog;
}

/** Hands the rule book the words of the language asked for, and makes it the one it speaks. */
async function speak(call: (name: string, json: string) => string, words: Words): Promise<void> {
  if (words.language === spoken) return;
  const file = await fetch(words.at).catch(() => undefined);
  // Without a signal the language it has goes on; a rule book without any words is no use.
  if (file?.ok !== true) {
    if (spoken !== undefined) return;
    throw new Error(`no words for ${words.language}`);
  }
  call('words', JSON.stringify({ language: words.language, text: await file.text() }));
  spoken = words.language;
}

// One after the other: a call that waits for words must not be overtaken by the one after it.
let turn: Promise<void> = Promise.resolve();
scope.onmessage = ({ data }) => {
  turn = turn.then(() => answer(data));
};

async function answer({ id, name, json, words }: Question): Promise<void> {
  try {
    rules ??= load();
    const call = await rules;
    await speak(call, words);
    warmth ??= warming(call, warmLog, later);
    warmth.asked(name);
    const answer: unknown = call(name, json);
    if (typeof answer !== 'string') throw new Error(`${name} ended the rule book`);
    scope.postMessage({ id, json: answer });
    warmth.answered(words.language);
  } catch (cause) {
    // Loaded afresh on the next call: the file may only then be in the cache, and a Go program that
    // panicked has ended and answers nothing more.
    rules = undefined;
    spoken = undefined;
    warmth = undefined;
    delete scope.longpoint_call;
    scope.postMessage({ id, error: cause instanceof Error ? cause.message : String(cause) });
  }
}
