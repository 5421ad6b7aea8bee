// Measures the rule book in headless Chromium, through the app's own worker: the big job of
// internal/joblog/bigjob (200 openings and 60 rooms with base, shoe and crown). Prints medians and
// the slowest of the runs, in milliseconds, from the question to the parsed answer.
//
//   node scripts/rulebook-speed.mjs [idle milliseconds before the job, 10000]     after `make web/src/rulebook/made/rulebook.wasm`
//   node scripts/rulebook-speed.mjs first [pages, 5]     the first view alone, in so many fresh pages, as one line of JSON
import { execFileSync } from 'node:child_process';
import { statSync } from 'node:fs';
import { chromium } from 'playwright-core';
import { createServer } from 'vite';
import { chromiumHere } from './chromium.mjs';

const onlyFirst = process.argv[2] === 'first';
const warm = onlyFirst ? 4_000 : Number(process.argv[2] ?? 10_000);
const web = new URL('..', import.meta.url).pathname;
const repository = new URL('../..', import.meta.url).pathname;
const job = execFileSync('go', ['run', './internal/joblog/bigjob/print'], {
  cwd: repository,
  maxBuffer: 1 << 28,
}).toString();
if (!onlyFirst)
  console.log(
    `rulebook.wasm: ${statSync(`${web}src/rulebook/made/rulebook.wasm`).size} bytes unpacked`,
  );

const server = await createServer({
  root: web,
  logLevel: 'warn',
  server: { port: 0, host: '127.0.0.1', hmr: false, watch: null },
});
await server.listen();
const base = `http://127.0.0.1:${server.httpServer.address().port}`;
const browser = await chromium.launch(chromiumHere);

/** A page of its own, which has read nothing yet. */
async function open() {
  const page = await browser.newPage();
  page.on('pageerror', (cause) => console.error(cause));
  await page.route(`${base}/speed`, (route) =>
    route.fulfill({ contentType: 'text/html', body: '<!doctype html><title>speed</title>' }),
  );
  await page.route(`${base}/job.json`, (route) =>
    route.fulfill({ contentType: 'application/json', body: job }),
  );
  await page.goto(`${base}/speed`);
  return page;
}

/** A first view as a phone has it that was idle for a moment before, and the fastest of ten later ones, milliseconds. */
async function first(page) {
  return page.evaluate(async (warm) => {
    const { rulebook } = await import('/src/rulebook/load.ts');
    const { jobsOver } = await import('/src/rulebook/jobs.ts');
    const { now, entries } = await (await fetch('/job.json')).json();
    const book = rulebook();
    const jobs = jobsOver(book);
    const reader = { language: 'en', unit: 'in', step: 1_587_500, now };
    await book.parseLength('79 5/8', 'in');
    await new Promise((resolve) => setTimeout(resolve, warm));
    await jobs.open('job');
    await jobs.apply('job', entries);
    const view = async () => {
      const from = performance.now();
      await jobs.viewJob('job', {}, reader);
      return performance.now() - from;
    };
    const taken = await view();
    let later = taken;
    for (let run = 0; run < 10; run += 1) later = Math.min(later, await view());
    return { first: taken, later };
  }, warm);
}

try {
  if (onlyFirst) {
    const pages = [];
    for (let run = 0; run < Number(process.argv[3] ?? 5); run += 1) {
      const page = await open();
      pages.push(await first(page));
      await page.close();
    }
    console.log(JSON.stringify(pages));
  } else {
    await all();
  }
} finally {
  await browser.close();
  await server.close();
}

async function all() {
  const page = await open();
  const figures = await page.evaluate(async (warm) => {
    const { rulebook } = await import('/src/rulebook/load.ts');
    const { jobsOver } = await import('/src/rulebook/jobs.ts');
    const { now, entries } = await (await fetch('/job.json')).json();
    const book = rulebook();
    const jobs = jobsOver(book);
    const rows = [];
    const time = async (name, runs, work) => {
      const taken = [];
      let result;
      for (let run = 0; run < runs; run += 1) {
        const from = performance.now();
        result = await work(run);
        taken.push(performance.now() - from);
      }
      taken.sort((a, b) => a - b);
      rows.push([name, taken[runs >> 1], taken[runs - 1]]);
      return result;
    };
    const reader = { language: 'en', unit: 'in', step: 1_587_500, now };
    await time('load and first answer', 1, () => book.parseLength('79 5/8', 'in'));
    await time('a length read', 200, () => book.parseLength('79 5/8', 'in'));
    // As on a phone: the worker warms up while nothing is asked. 0 leaves it no time to.
    await new Promise((resolve) => setTimeout(resolve, warm));
    const items = entries.flatMap((entry) =>
      entry.command.kind === 'add_item' ? [entry.command.item_id] : [],
    );
    const reading = entries.find(
      (entry) => entry.command.kind === 'take_reading' && entry.command.item_id,
    );
    await jobs.open('job');
    await time(`first pull: ${entries.length} entries applied`, 1, () =>
      jobs.apply('job', entries),
    );
    await time('the job viewed first', 1, () => jobs.viewJob('job', {}, reader));
    await time('the job viewed', 20, () => jobs.viewJob('job', {}, reader));
    await time('an item viewed', 200, (run) =>
      jobs.viewItem('job', items[run % items.length], {}, reader),
    );
    await time('a command decided', 100, () =>
      jobs.decide('job', {
        company: {},
        command: reading.command,
        actor: { person_id: reading.person_id, role: reading.role },
        did_at: now,
        now,
        reader,
      }),
    );
    const state = await time('state handed out', 5, () => jobs.state('job'));
    await time('state opened', 5, () => jobs.open('again', state));
    await time('job copied', 5, () => jobs.copy('job', 'copy'));
    rows.push(['state as JSON, kilobytes', JSON.stringify(state).length / 1000, Number.NaN]);
    return rows;
  }, warm);
  for (const [name, median, slowest] of figures) {
    const most = Number.isFinite(slowest) ? `, slowest ${slowest.toFixed(1)}` : '';
    console.log(`${name.padEnd(36)} ${median.toFixed(1).padStart(8)}${most}`);
  }
}
