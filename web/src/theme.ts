import { remember, remembered } from './remembered.ts';

export type Theme = 'light' | 'dark' | 'system';

const key = 'longpoint.theme';

/** The person's own choice over the phone's; 'system' follows the phone. */
export function chooseTheme(theme: Theme): void {
  remember(key, theme === 'system' ? null : theme);
  mark(theme);
}

export function showTheme(): void {
  mark(chosenTheme());
}

export function chosenTheme(): Theme {
  const kept = remembered(key);
  return kept === 'light' || kept === 'dark' ? kept : 'system';
}

function mark(theme: Theme): void {
  if (theme === 'system') delete document.documentElement.dataset['theme'];
  else document.documentElement.dataset['theme'] = theme;
}
