// Audits the app's main screens with Lighthouse and prints its scores; fails under 95. Serves the
// demonstration's house by itself, or looks at a running one.
//
//   node audit.mjs [http://HOST:PORT] [screen …]
//
// Each screen is looked at three times (RUNS), and the middle one counts, as Lighthouse advises: a task that had to wait
// for a processor counts four times its wait.
//
// Chromium is CHROMIUM or Debian's. Figures are of Lighthouse's own slow phone (4 times slower
// processor, 1.6 Mbit/s), or of its desk where the screen is for a desk. The phone is meant for
// machines whose processor it gives 1500 or more (BenchmarkIndex, its docs/throttling.md): a slower one is a slower phone.
import { spawn } from 'node:child_process';
import { setPriority } from 'node:os';
import { createInterface } from 'node:readline';
import { launch } from 'chrome-launcher';
import lighthouse, { desktopConfig } from 'lighthouse';
import { chromiumHere } from '../../scripts/chromium.mjs';

const least = 95;
const runs = Number(process.env.RUNS ?? 3);
const categories = ['performance', 'accessibility', 'best-practices'];
const [url, ...only] = process.argv[2]?.startsWith('http')
  ? process.argv.slice(2)
  : [undefined, ...process.argv.slice(2)];
const passphrase = process.env.LONGPOINT_LOOK_PASSPHRASE ?? 'chalk line plumb bob';

/** The invented house, on a port and a folder of its own. */
async function serve() {
  const repository = new URL('../../..', import.meta.url).pathname;
  const child = spawn('nice', ['-n', '19', 'go', 'run', './tests/browser/site'], {
    cwd: repository,
    stdio: ['pipe', 'pipe', 'inherit'],
  });
  const line = await new Promise((resolve, reject) => {
    createInterface({ input: child.stdout }).once('line', resolve);
    child.once('exit', (code) => reject(new Error(`the site ended with ${code}`)));
  });
  const stop = () => {
    const ended = new Promise((resolve) => child.once('exit', resolve));
    child.stdin.end();
    return ended;
  };
  const { url, walk } = JSON.parse(line);
  return { base: url, walk, stop };
}

const site = url === undefined ? await serve() : { base: url, stop: async () => {} };
const { base } = site;

async function signIn(who) {
  const answer = await fetch(`${base}/api/v1/session`, {
    method: 'POST',
    headers: { 'Content-Type': 'application/json' },
    body: JSON.stringify({ sign_in: who, passphrase }),
  });
  if (!answer.ok) throw new Error(`sign-in as ${who} answered ${answer.status}`);
  return answer.headers
    .getSetCookie()
    .map((cookie) => cookie.split(';')[0])
    .join('; ');
}

/**
 * The blocked time that is the page's own: the sum over 50 ms a task after the first paint, of the time its thread had a
 * processor, in milliseconds. What is more it waited for one, as it does where few of them also draw, serve and trace.
 */
function ownTime({ audits }, { Trace: { traceEvents } }, slower) {
  const begun = traceEvents.findLast(
    ({ name, args }) =>
      name === 'navigationStart' && args.data?.documentLoaderURL?.startsWith(base),
  );
  const [{ observedFirstContentfulPaint: painted }] = audits.metrics.details.items;
  const tasks = traceEvents.filter(
    ({ name, pid, tid, ts }) =>
      name.endsWith('RunTask') &&
      pid === begun.pid &&
      tid === begun.tid &&
      ts > begun.ts + painted * 1_000,
  );
  const over = tasks.map(({ tdur = 0 }) => Math.max(0, (tdur / 1_000) * slower - 50));
  return Math.round(over.reduce((sum, each) => sum + each, 0));
}

const lead = await signIn('ruth');
const marco = await signIn('marco');
const ask = async (path) =>
  (await fetch(`${base}/api/v1${path}`, { headers: { Cookie: lead } })).json();
const { jobs } = await ask('/jobs');
const house = await ask(`/jobs/${jobs.at(-1).id}`);
const items = house.rooms.flatMap((room) => room.items);
const item = items.find(({ name }) => name === 'Linen closet door');
const screens = {
  'sign-in': { at: '/bench' },
  'bench home': { at: '/bench', cookie: marco },
  'bench item': { at: `/bench/jobs/${house.id}/items/${item.id}`, cookie: marco },
  board: { at: `/board/jobs/${house.id}`, cookie: lead, desk: true },
  // A running house does not say its homeowner's link.
  ...(site.walk === undefined ? {} : { walk: { at: site.walk.replace(base, '') } }),
};

const chrome = await launch({
  chromePath: chromiumHere.executablePath,
  chromeFlags: chromiumHere.args,
});
// The page does not wait for who serves and who measures it: a phone has its processor to itself.
setPriority(19);
let under = 0;
try {
  for (const [name, { at, cookie, desk }] of Object.entries(screens)) {
    if (only.length > 0 && !only.includes(name)) continue;
    const looks = [];
    while (looks.length < runs) {
      const result = await lighthouse(
        base + at,
        {
          port: chrome.port,
          logLevel: 'error',
          onlyCategories: categories,
          ...(cookie === undefined ? {} : { extraHeaders: { Cookie: cookie } }),
        },
        desk ? desktopConfig : undefined,
      );
      if (result === undefined) throw new Error(`${name}: no result`);
      if (result.lhr.runtimeError) throw new Error(`${name}: ${result.lhr.runtimeError.message}`);
      looks.push(result);
    }
    const speed = ({ lhr }) => Math.round((lhr.categories.performance.score ?? 0) * 100);
    looks.sort((a, b) => speed(a) - speed(b));
    const { lhr, artifacts } = looks[looks.length >> 1];
    const scores = categories.map((id) => Math.round((lhr.categories[id].score ?? 0) * 100));
    const said = (id) => lhr.audits[id]?.displayValue?.replace(/ /g, ' ') ?? '';
    console.log(
      `${name.padEnd(12)} ${desk ? 'desk ' : 'phone'}  ${categories
        .map((id, n) => `${id} ${scores[n]}`)
        .join(
          '  ',
        )}  (first paint ${said('first-contentful-paint')}, largest ${said('largest-contentful-paint')}, blocked ${said('total-blocking-time')}, by processor time ${ownTime(lhr, artifacts, desk ? 1 : 4)} ms, shift ${said('cumulative-layout-shift')}; processor ${Math.round(lhr.environment.benchmarkIndex)}; of ${looks.map(speed).join(', ')})`,
    );
    for (const [n, id] of categories.entries()) {
      if (scores[n] >= 100) continue;
      if (scores[n] < least) under += 1;
      for (const { id: audit, weight } of lhr.categories[id].auditRefs) {
        const { score, title, details } = lhr.audits[audit];
        if (weight === 0 || score === null || score >= 0.9) continue;
        console.log(`    ${id}: ${title}`);
        for (const row of details?.items?.slice(0, 3) ?? []) {
          console.log(
            `      ${row.node?.selector ?? row.url ?? row.description ?? ''} ${row.node?.explanation ?? ''}`.trimEnd(),
          );
        }
      }
    }
  }
} finally {
  await chrome.kill();
  await site.stop();
}
if (under > 0) console.error(`${under} scores under ${least}`);
process.exit(under === 0 ? 0 : 1);
