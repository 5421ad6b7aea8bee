export type Theme = 'light' | 'dark' | 'system';

const key = 'longpoint.theme';

/** The person's own choice over the phone's; 'system' follows the phone. */
export function chooseTheme(theme: Theme): void {
  try {
    if (theme === 'system') localStorage.removeItem(key);
    else localStorage.setItem(key, theme);
  } catch {
    // Storage is off: the choice lasts as long as the page.
  }
  mark(theme);
}

export function showTheme(): void {
  mark(chosenTheme());
}

export function chosenTheme(): Theme {
  try {
    const kept = localStorage.getItem(key);
    return kept === 'light' || kept === 'dark' ? kept : 'system';
  } catch {
    return 'system';
  }
}

function mark(theme: Theme): void {
  if (theme === 'system') delete document.documentElement.dataset['theme'];
  else document.documentElement.dataset['theme'] = theme;
}
