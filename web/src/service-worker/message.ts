/** What a page says to the version that waits. */
export interface Message {
  /** The person agreed, or there is nobody to ask because no other page is open. */
  readonly kind: 'take_over' | 'take_over_if_alone';
}
