/** The service said no, in a sentence for the person. */
export class Refusal extends Error {
  override readonly name = 'Refusal';

  constructor(
    readonly status: number,
    readonly sentence: string,
    /** What was wrong and where, such as body.sent_at. */
    readonly fields: readonly { readonly where?: string; readonly what: string }[] = [],
    /** Seconds the service asked to be left alone. */
    readonly retryAfter: number | null = null,
  ) {
    super(sentence);
  }

  /** The same again may go through: the service was busy, stopping or broken, not unwilling. */
  get passing(): boolean {
    return this.status >= 500 || this.status === 408 || this.status === 429;
  }
}

/** Nothing came back: no signal, or no service at the other end. */
export class Unreachable extends Error {
  override readonly name = 'Unreachable';
}

/** Why it did not go through, for the person: what the service said, else that it was not reached. */
export function sentenceOf(cause: unknown, unreached: string): string {
  return cause instanceof Refusal ? cause.sentence : unreached;
}
