/** The app's own letters, each weight a file (fonts.css). */
const weights = [400, 600] as const;

/** Has them all made ready before the first words that need them are laid out. */
export function askForLetters(): void {
  for (const weight of weights)
    void document.fonts?.load(`${weight} 17px 'Public Sans'`).catch(() => undefined);
}
