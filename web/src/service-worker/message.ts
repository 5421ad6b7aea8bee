/** What the service worker says to a page: a person wants to see this. */
export interface Wanted {
  readonly kind: 'show';
  readonly path: string;
}

/** What a page says to the version that waits. */
export interface Message {
  /** The person agreed, or there is nobody to ask because no other page is open. */
  readonly kind: 'take_over' | 'take_over_if_alone';
}
