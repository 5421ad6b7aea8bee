import { remember, remembered } from '../remembered.ts';

/** The thumb that holds the phone: where the tape's keys stand. Kept on the device. */
export type Hand = 'left' | 'right';

const key = 'longpoint.hand';

export function chosenHand(): Hand {
  return remembered(key) === 'left' ? 'left' : 'right';
}

export function chooseHand(hand: Hand): void {
  remember(key, hand);
  document.documentElement.dataset['hand'] = hand;
}

export function showHand(): void {
  document.documentElement.dataset['hand'] = chosenHand();
}
