/** The thumb that holds the phone: where the tape's keys stand. Kept on the device. */
export type Hand = 'left' | 'right';

const key = 'longpoint.hand';

export function chosenHand(): Hand {
  try {
    return localStorage.getItem(key) === 'left' ? 'left' : 'right';
  } catch {
    return 'right';
  }
}

export function chooseHand(hand: Hand): void {
  try {
    localStorage.setItem(key, hand);
  } catch {
    // Storage is off: the choice lasts as long as the page.
  }
  document.documentElement.dataset['hand'] = hand;
}

export function showHand(): void {
  document.documentElement.dataset['hand'] = chosenHand();
}
