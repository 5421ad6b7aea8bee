import { execFile } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { expect, test } from 'vitest';

/*
 * The whole view of a job of 200 openings and 60 rooms in the browser's WebAssembly, through the app's
 * own worker: the first, after the worker was idle for four seconds and viewed its small job, and the
 * later ones. The fastest of some fresh pages counts. What is aimed at holds only on a machine that does
 * nothing else and is asked for: LONGPOINT_VIEW_LIMIT is the milliseconds either may take. Else both are
 * printed, and the later view is held to what a busy machine needs.
 */
const goal = 150;
const asked = process.env['LONGPOINT_VIEW_LIMIT'];
const limits = { first: Number(asked ?? Number.POSITIVE_INFINITY), later: Number(asked ?? 4 * goal) };
const script = fileURLToPath(new URL('../../web/scripts/rulebook-speed.mjs', import.meta.url));

test('a large job is viewed in the browser soon enough, and how soon the first time is printed', async () => {
  const fastest = { first: Number.POSITIVE_INFINITY, later: Number.POSITIVE_INFINITY };
  const within = () => fastest.first < limits.first && fastest.later < limits.later;
  for (let round = 0; round < 3 && !within(); round += 1) {
    const { stdout } = await promisify(execFile)('node', [script, 'first', '2']);
    for (const { first, later } of JSON.parse(stdout) as { first: number; later: number }[]) {
      fastest.first = Math.min(fastest.first, first);
      fastest.later = Math.min(fastest.later, later);
    }
  }
  console.log(`first view ${fastest.first.toFixed(0)} ms, a later one ${fastest.later.toFixed(0)} ms; the goal is ${goal} ms`);
  expect(fastest.later).toBeLessThan(limits.later);
  expect(fastest.first).toBeLessThan(limits.first);
});
