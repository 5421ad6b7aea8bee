/** Page to worker. Calls are answered by id, in any order. */
export interface Question {
  readonly id: number;
  readonly name: string;
  readonly json: string;
  readonly words: Words;
}

/** The language sentences are wanted in, and where the rule book's words for it are. */
export interface Words {
  readonly language: string;
  readonly at: string;
}

/** Worker to page. */
export type Answer =
  | { readonly id: number; readonly json: string }
  | { readonly id: number; readonly error: string };
