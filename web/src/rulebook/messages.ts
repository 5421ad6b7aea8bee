/** Page to worker. Calls are answered by id, in any order. */
export interface Question {
  readonly id: number;
  readonly name: string;
  readonly json: string;
}

/** Worker to page. */
export type Answer =
  | { readonly id: number; readonly json: string }
  | { readonly id: number; readonly error: string };
