import { readFileSync } from 'node:fs';
import type { Plugin } from 'vite';

const folder = new URL('../src/words/', import.meta.url);

/** Which keys go with a surface: by the longest of these that a key begins with, else by none. */
export type Surfaces = Readonly<Record<string, readonly string[]>>;

export function surfaceOf(key: string, surfaces: Surfaces): string {
  let best = { surface: 'shared', length: 0 };
  for (const [surface, starts] of Object.entries(surfaces)) {
    for (const start of starts) {
      if ((key === start || key.startsWith(`${start}.`)) && start.length > best.length)
        best = { surface, length: start.length };
    }
  }
  return best.surface;
}

/**
 * The catalogs are one file a language; a phone loads them by surface. `virtual:words/SURFACE`
 * holds a surface's English and says where its other languages are, and `shared` what the bench
 * and more than one surface say.
 */
export function words(): Plugin {
  const prefix = '\0virtual:words/';
  const read = (name: string) => JSON.parse(readFileSync(new URL(name, folder), 'utf8'));
  return {
    name: 'words',
    resolveId: (source) => (source.startsWith('virtual:words/') ? `\0${source}` : null),
    load(id) {
      if (!id.startsWith(prefix)) return null;
      const [surface = '', language = 'en'] = id.slice(prefix.length).split('-');
      for (const name of [`${language}.json`, 'surfaces.json'])
        this.addWatchFile(new URL(name, folder).pathname);
      const surfaces: Surfaces = read('surfaces.json');
      const part = Object.entries(read(`${language}.json`)).filter(
        ([key]) => surfaceOf(key, surfaces) === surface,
      );
      if (part.length === 0) throw new Error(`no words go with ${surface}`);
      // A string is read faster than the same as a program.
      const catalog = `JSON.parse(${JSON.stringify(JSON.stringify(Object.fromEntries(part)))})`;
      if (language !== 'en') return `export default ${catalog};`;
      return `export default {
        en: ${catalog},
        es: () => import('virtual:words/${surface}-es').then((file) => file.default),
      };`;
    },
  };
}
