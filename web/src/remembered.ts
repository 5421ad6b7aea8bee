/*
 * A few words that this device remembers from page to page, each under its name. A browser that keeps
 * nothing, or has no room, still has them as long as the page is open.
 */

const memory = new Map<string, string>();

export function remembered(name: string): string | null {
  const here = memory.get(name) ?? null;
  try {
    return here ?? localStorage.getItem(name);
  } catch {
    return here;
  }
}

export function remember(name: string, text: string | null): void {
  memory.delete(name);
  try {
    if (text === null) localStorage.removeItem(name);
    else localStorage.setItem(name, text);
  } catch {
    if (text !== null) memory.set(name, text);
  }
}
