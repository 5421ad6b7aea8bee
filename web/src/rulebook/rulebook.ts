/**
 * The door to the rule book. The rules are Go, compiled to WebAssembly and run in a worker; this
 * side only asks. Lengths cross as whole nanometers: 100 ft is 3.05e10, far inside the 2^53 a
 * JavaScript number holds exactly.
 */
export type Unit = 'in' | 'mm';

export type Parsed =
  | { readonly nm: number; readonly text: string }
  /** Refused; the sentence says what to type instead. */
  | { readonly sentence: string };

export interface Rulebook {
  /** Reads what a person typed, said or shot. `unit` is what a bare number means. */
  parseLength(text: string, unit: Unit): Promise<Parsed>;
  /** Prints a length the way the job prints it. `step` is the finest division, in nanometers. */
  printLength(nm: number, unit: Unit, step: number): Promise<string>;
  /** Any other call by its name; jobs.ts has the typed ones about jobs. */
  call(name: string, input: unknown): Promise<unknown>;
  /** The same with JSON text both ways, for what this side only carries. */
  callText(name: string, json: string): Promise<string>;
}

/** The rule book could not answer: it failed to load, or the call itself failed. */
export class RulebookError extends Error {
  override readonly name = 'RulebookError';
}

/** What carries a call to the rules and its JSON answer back. The worker is one; a test has another. */
export type Caller = (name: string, json: string) => Promise<string>;

export function rulebookOver(call: Caller): Rulebook {
  const ask = async (name: string, input: unknown): Promise<unknown> =>
    JSON.parse(await call(name, JSON.stringify(input)));
  return {
    call: ask,
    callText: call,
    async parseLength(text, unit) {
      const answer = await ask('parse_length', { text, unit });
      if (isRecord(answer)) {
        if (typeof answer['sentence'] === 'string') return { sentence: answer['sentence'] };
        const { nm, text: printed } = answer;
        if (Number.isSafeInteger(nm) && typeof printed === 'string') {
          return { nm: Number(nm), text: printed };
        }
      }
      throw new RulebookError('parse_length answered neither a length nor a sentence');
    },
    async printLength(nm, unit, step) {
      const answer = await ask('print_length', { nm, unit, step });
      if (isRecord(answer) && typeof answer['text'] === 'string') return answer['text'];
      throw new RulebookError('print_length answered no text');
    },
  };
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null;
}
