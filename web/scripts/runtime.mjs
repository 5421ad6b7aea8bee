// Writes Go's runtime for WebAssembly as the worker loads it: without what only a reader needs, and
// with the notice that its license asks for.
//
//   node scripts/runtime.mjs FROM TO
import { readFileSync, writeFileSync } from 'node:fs';
import { minifySync } from 'vite';

const [from = '', to = ''] = process.argv.slice(2);
const source = readFileSync(from, 'utf8');
const notice = /^(\/\/.*\n)+/.exec(source)?.[0] ?? '';
if (!/copyright/i.test(notice) || !/license/i.test(notice))
  throw new Error(`${from} begins without its notice`);
const { code, errors } = minifySync('wasm_exec.js', source, { module: false });
if (errors.length > 0) throw new Error(errors.map(({ message }) => message).join('\n'));
writeFileSync(to, `${notice}${code}\n`);
