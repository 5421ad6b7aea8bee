/** The app's own letters, each weight a file (fonts.css). */
const family = "'Public Sans'";
const weights = [400, 600] as const;

const here = new Set<number>();

/** True once the app's letters of that weight, or of every weight, can be drawn and measured. */
export function lettersHere(weight?: number): boolean {
  if (weight === undefined) return weights.every(lettersHere);
  if (!here.has(weight) && document.fonts?.check(letters(weight, 17)) === true) here.add(weight);
  return here.has(weight);
}

/** A font setting, in pixels. */
export function letters(weight: number, pixels: number): string {
  return `${weight} ${pixels}px ${family}, sans-serif`;
}

/** Has them all made ready before the first words that need them are laid out. */
export function askForLetters(): void {
  for (const weight of weights)
    void document.fonts?.load(letters(weight, 17)).catch(() => undefined);
}
