// Adds up what the installer's phone loads before the bench stands, compressed, and fails over the
// limit: the page's script, all it imports, the bench, the rule book's worker, and the words of a
// phone that speaks Spanish. The WebAssembly file and the rule book's words are not counted; the
// board is not loaded.
//
//   node scripts/size.mjs     after `npm run build`
import { readdirSync, readFileSync } from 'node:fs';
import { gzipSync } from 'node:zlib';

const limit = 90_000;
const assets = new URL('../dist/assets/', import.meta.url);
const index = readFileSync(new URL('../dist/index.html', import.meta.url), 'utf8');
const names = readdirSync(assets).filter((name) => name.endsWith('.js'));
const starting = (start) => names.filter((name) => name.startsWith(start));

const loaded = ['bench-', 'worker-', 'wasm_exec-', 'shared-es-'];

const wanted = [
  ...[...index.matchAll(/assets\/([^"]+\.js)/g)].map(([, name]) => name),
  ...loaded.flatMap(starting),
];
const counted = new Set();
const imports = /(?:from|import)\s*["']\.\/([^"']+\.js)["']/g;
while (wanted.length > 0) {
  const name = wanted.pop();
  if (counted.has(name)) continue;
  counted.add(name);
  const text = readFileSync(new URL(name, assets), 'utf8');
  wanted.push(...[...text.matchAll(imports)].map(([, imported]) => imported));
}
for (const start of loaded) {
  if (starting(start).length !== 1) throw new Error(`the build has not one ${start}… file`);
}
let sum = 0;
for (const name of [...counted].sort()) {
  const size = gzipSync(readFileSync(new URL(name, assets)), { level: 9 }).length;
  sum += size;
  console.log(`${String(size).padStart(7)}  ${name}`);
}
console.log(`${String(sum).padStart(7)}  of ${limit} bytes, compressed`);
if (sum > limit) process.exit(1);
