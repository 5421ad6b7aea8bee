import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { parseAst } from 'rolldown/parseAst';
import { describe, expect, it } from 'vitest';
import { surfaceOf } from '../scripts/words.ts';
import { chooseLanguage } from '../src/words/choose.ts';
import en from '../src/words/en.json';
import es from '../src/words/es.json';
import surfaces from '../src/words/surfaces.json';
import { t, type WordKey } from '../src/words/words.ts';

const src = join(process.cwd(), 'src');
type Entry = string | Readonly<Record<string, string>>;
const english: Readonly<Record<WordKey, Entry>> = en;
const spanish = es as unknown as typeof english;

type Node = { type: string; start: number; [part: string]: unknown };

/** Every node of a file, each with the nodes it stands in, the nearest last. */
function* nodes(node: Node, within: readonly Node[] = []): Generator<[Node, readonly Node[]]> {
  yield [node, within];
  for (const part of Object.values(node)) {
    for (const child of Array.isArray(part) ? part : [part]) {
      if (child !== null && typeof child === 'object' && typeof child.type === 'string')
        yield* nodes(child as Node, [...within, node]);
    }
  }
}

// The gallery and the fake rule book are for who makes the app.
const files = readdirSync(src, { recursive: true })
  .map(String)
  .filter((name) => /\.tsx?$/.test(name) && !/^gallery\/|fake\.ts$|schema\.ts$|\.d\.ts$/.test(name))
  .map((name) => {
    const text = readFileSync(join(src, name), 'utf8');
    const tree = parseAst(text, { lang: name.endsWith('x') ? 'tsx' : 'ts' }) as unknown as Node;
    return { name, text, all: [...nodes(tree)] };
  });

const forms = (entry: Entry): readonly string[] =>
  typeof entry === 'string' ? [entry] : Object.values(entry);
const named = (entry: Entry): string[] =>
  [...new Set(forms(entry).flatMap((form) => form.match(/\{\w+\}/g) ?? []))].sort();

/** Keys as a file has them: whole, or a template of which some parts are only known later. */
function saidIn({ all }: (typeof files)[number]): (key: string) => boolean {
  const whole = new Set<unknown>();
  const templates: RegExp[] = [];
  for (const [node] of all) {
    if (node.type === 'Literal') whole.add(node['value']);
    if (node.type !== 'TemplateLiteral') continue;
    const parts = (node['quasis'] as { value: { cooked: string } }[]).map(
      ({ value }) => value.cooked,
    );
    if (!/^[a-z][A-Za-z]*\./.test(parts[0] ?? '') && !/^\.[a-z]/.test(parts.at(-1) ?? '')) continue;
    const pattern = parts
      .map((part) => part.replace(/[.*+?^${}()|[\]\\]/g, '\\$&'))
      .join('[\\w-]+');
    templates.push(new RegExp(`^${pattern}$`));
  }
  return (key) => whole.has(key) || templates.some((template) => template.test(key));
}
const said = files.map((file) => ({ name: file.name, says: saidIn(file) }));

/** What a file loads, at once or later. */
function loadedBy({ name, all }: (typeof files)[number]): string[] {
  return all.flatMap(([node]) => {
    const from = (node['source'] as Node | undefined)?.['value'];
    if (typeof from !== 'string') return [];
    return [from.startsWith('.') ? join(dirname(name), from) : from];
  });
}
const loads = new Map(files.map((file) => [file.name, loadedBy(file)]));

/** The page's own file and each surface's, and what surfaces' words are there by then. */
const starts = [
  'main.tsx',
  ...(loads.get('app.tsx') ?? []).filter((name) => /^(\w+)\/\1\.tsx$/.test(name)),
];
const wordsAt = (start: string) =>
  (loads.get(start) ?? []).flatMap((name) => name.match(/(?<=^virtual:words\/).+/) ?? []);
function startsOf(file: string): string[] {
  return starts.filter((start) => {
    const seen = new Set([start]);
    for (const name of seen)
      for (const next of loads.get(name) ?? []) if (!starts.includes(next)) seen.add(next);
    return seen.has(file);
  });
}

describe('the catalogs', () => {
  it('have the same keys, names and plural forms in every language', () => {
    expect(Object.keys(spanish).sort()).toEqual(Object.keys(english).sort());
    for (const [key, entry] of Object.entries(english)) {
      const other = spanish[key as WordKey];
      expect(named(other), key).toEqual(named(entry));
      expect(typeof other, key).toBe(typeof entry);
      if (typeof entry !== 'string') {
        expect(Object.keys(other).sort(), key).toEqual(['one', 'other']);
        expect(Object.keys(entry).sort(), key).toEqual(['one', 'other']);
      }
      for (const form of forms(other)) expect(form.trim(), key).not.toBe('');
    }
  });

  it('leave no long sentence in English', () => {
    const left = Object.entries(english).filter(
      ([key, entry]) =>
        forms(entry).some(
          (form) => (form.replace(/\{\w+\}/g, '').match(/\p{L}{2,}/gu) ?? []).length > 2,
        ) && forms(entry).join() === forms(spanish[key as WordKey]).join(),
    );
    expect(left).toEqual([]);
  });

  it('hold no key that no screen says', () => {
    const unused = Object.keys(english).filter((key) => !said.some(({ says }) => says(key)));
    expect(unused).toEqual([]);
  });

  it('give each surface the words it says, and the bench no words of another', () => {
    expect(starts.length).toBeGreaterThan(5);
    const at = new Map(
      files.map(({ name }) => [name, startsOf(name).map((start) => wordsAt(start))]),
    );
    const missing: string[] = [];
    const alone = new Map<string, Set<string>>();
    for (const key of Object.keys(english)) {
      const surface = surfaceOf(key, surfaces);
      // All that begin with one word, and of them those that go on with one: a part may be another's.
      const begins = [1, 2].map((parts) => key.split('.').slice(0, parts).join('.'));
      for (const { name, says } of said) {
        if (!says(key)) continue;
        const there = at.get(name) ?? [];
        if (surface !== 'shared' && there.some((words) => !words.includes(surface)))
          missing.push(`${name} says ${key}, which goes with ${surface}`);
        const others = new Set(
          there.length > 0 ? there.reduce((a, b) => a.filter((one) => b.includes(one))) : [],
        );
        for (const begin of surface === 'shared' ? begins : []) {
          const before = alone.get(begin) ?? others;
          alone.set(begin, new Set([...before].filter((one) => others.has(one))));
        }
      }
    }
    expect(missing).toEqual([]);
    // A line more in surfaces.json, and the installer's phone is spared them.
    const heavy = [...alone]
      .filter(([, where]) => where.size > 0)
      .map(([begin, where]) => `${begin} goes with ${[...where]}`);
    expect(heavy).toEqual([]);
  });
});

describe('the screens', () => {
  it('say every sentence through the catalog', () => {
    const bare: string[] = [];
    const shown =
      /^(label|title|name|sentence|more|hint|alt|placeholder|aria-label|aria-description)$/;
    for (const { name, text, all } of files) {
      const at = (node: Node) => `${name}:${text.slice(0, node.start).split('\n').length}`;
      for (const [node, within] of all) {
        const parent = within.at(-1);
        const value = node['value'];
        // Units' symbols are the same in every language.
        if (node.type === 'JSXText' && /\p{L}{2}/u.test(String(value).replace(/\bmm\b/, '')))
          bare.push(`${at(node)} ${String(value).trim()}`);
        if (node.type !== 'Literal' || typeof value !== 'string') continue;
        const attribute = (parent?.['name'] as Node | undefined)?.['name'];
        if (
          parent?.type === 'JSXAttribute' &&
          shown.test(String(attribute)) &&
          /\p{L} \p{L}/u.test(value)
        )
          bare.push(`${at(node)} ${String(attribute)}="${value}"`);
        // A sentence anywhere else: a capital, words and an end. What is thrown is for who repairs it.
        const thrown = within.some(
          (each) =>
            each.type === 'NewExpression' &&
            /Error|Unreachable/.test(String((each['callee'] as Node)['name'])),
        );
        if (parent?.type !== 'JSXAttribute' && !thrown && /^\p{Lu}\p{Ll}*\s.*[.!?…]$/u.test(value))
          bare.push(`${at(node)} ${value}`);
      }
    }
    expect(bare).toEqual([]);
  });

  it('speak the language that is chosen, and count in it', async () => {
    await chooseLanguage('es');
    expect(document.documentElement.lang).toBe('es-US');
    expect(t('stage.nailed')).toBe('Clavado');
    expect([t('board.rooms', { count: 1 }), t('board.rooms', { count: 2 })]).toEqual([
      '1 cuarto',
      '2 cuartos',
    ]);
    expect(localStorage.getItem('longpoint.language')).toBe('es');
    await chooseLanguage('en');
    expect(document.documentElement.lang).toBe('en-US');
    expect(t('stage.nailed')).toBe('Nailed');
  });
});
