// Writes a .br and a .gz beside every text-like file of dist/, so that the server never
// compresses while a phone waits.
import { readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { brotliCompressSync, constants, gzipSync } from 'node:zlib';

const dist = new URL('../dist/', import.meta.url).pathname;
const worth = /\.(js|css|html|wasm|svg|json|txt|webmanifest)$/;

let raw = 0;
let small = 0;
for (const name of readdirSync(dist, { recursive: true })) {
  const path = join(dist, String(name));
  if (!worth.test(path) || !statSync(path).isFile()) continue;
  const bytes = readFileSync(path);
  const brotli = brotliCompressSync(bytes, {
    params: {
      [constants.BROTLI_PARAM_QUALITY]: 11,
      [constants.BROTLI_PARAM_LGWIN]: 24,
      [constants.BROTLI_PARAM_SIZE_HINT]: bytes.length,
    },
  });
  writeFileSync(`${path}.br`, brotli);
  writeFileSync(`${path}.gz`, gzipSync(bytes, { level: 9 }));
  raw += bytes.length;
  small += brotli.length;
}
console.log(`compressed ${raw} bytes to ${small} (brotli)`);
