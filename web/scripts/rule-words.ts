import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import type { Plugin } from 'vite';

const catalogs = new URL('../../internal/words/', import.meta.url);
const languages = ['en', 'es'];

/** All of a language's files in one, in the order the Go side joins them. */
function textOf(language: string): string {
  const folder = new URL(`${language}/`, catalogs);
  return readdirSync(folder)
    .filter((name) => name.endsWith('.txt'))
    .sort()
    .map((name) => readFileSync(new URL(name, folder), 'utf8'))
    .join('');
}

/**
 * The rule book's words as one hashed file a language. The WebAssembly file holds none: the phone
 * fetches the language of the person at it. `virtual:rule-words` gives each language's address.
 */
export function ruleWords(): Plugin {
  const id = '\0virtual:rule-words';
  let building = false;
  return {
    name: 'rule-words',
    configResolved(config) {
      building = config.command === 'build';
    },
    resolveId: (source) => (source === 'virtual:rule-words' ? id : null),
    load(asked) {
      if (asked !== id) return null;
      const at: Record<string, string> = {};
      for (const language of languages) {
        const source = textOf(language);
        const hash = createHash('sha256').update(source).digest('base64url').slice(0, 8);
        const name = building ? `assets/words-${language}-${hash}.txt` : `rule-words/${language}`;
        if (building) this.emitFile({ type: 'asset', fileName: name, source });
        at[language] = `/${name}`;
      }
      return `export default ${JSON.stringify(at)};`;
    },
    configureServer(server) {
      server.middlewares.use('/rule-words/', (request, response, next) => {
        const language = languages.find((one) => request.url === `/${one}`);
        if (language === undefined) return next();
        response.setHeader('Content-Type', 'text/plain; charset=utf-8');
        response.end(textOf(language));
      });
    },
  };
}
