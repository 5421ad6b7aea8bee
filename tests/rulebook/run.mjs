// Runs calls through the rule book's WebAssembly in Node and prints the answers.
//
//   node run.mjs wasm_exec.js rulebook.wasm calls.json > answers.json
//
// calls.json is a list of [name, input text]; the answers are a list of texts. --size prints
// the file's size after brotli instead, as web/scripts/compress.mjs makes it.
import { readFileSync, writeSync } from 'node:fs';
import { constants, brotliCompressSync } from 'node:zlib';

const [runtime, file, calls] = process.argv.slice(2);
const module = readFileSync(file);
if (calls === '--size') {
  const small = brotliCompressSync(module, {
    params: {
      [constants.BROTLI_PARAM_QUALITY]: 11,
      [constants.BROTLI_PARAM_LGWIN]: 24,
      [constants.BROTLI_PARAM_SIZE_HINT]: module.length,
    },
  });
  console.log(small.length);
  process.exit(0);
}

await import(runtime);
const go = new globalThis.Go();
const { instance } = await WebAssembly.instantiate(module, go.importObject);
void go.run(instance);
const answers = JSON.parse(readFileSync(calls, 'utf8')).map(([name, input]) =>
  globalThis.longpoint_call(name, input),
);
const out = Buffer.from(JSON.stringify({ version: globalThis.longpoint_rule_book, answers }));
for (let at = 0; at < out.length; ) at += writeSync(1, out, at);
process.exit(0);
