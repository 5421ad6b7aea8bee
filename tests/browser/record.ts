import { mkdirSync, writeFileSync } from 'node:fs';
import { command } from '../../web/src/api/command.ts';
import type { components } from '../../web/src/api/schema.ts';
import type { ItemView, JobView } from '../../web/src/api/views.ts';
import { type Voice, voiceOf } from './crew.ts';

type StockSheet = components['schemas']['StockSheet'];
type WalkPage = components['schemas']['WalkPage'];

/*
 * Writes down a house's whole log for tests/commands, with what the app has sent in the journey and
 * what no journey does yet: those few are made by the app's own code and sent from here.
 */
export async function record(site: { url: string; passphrase: string; walk: string }, folder: string): Promise<void> {
  const lead = await voiceOf(site, 'ruth');
  const { ask, send } = lead;
  mkdirSync(folder, { recursive: true });
  const { jobs } = await ask<{ jobs: { id: string }[] }>('/jobs');
  for (const [n, { id: job }] of jobs.entries()) {
    const { rooms } = await ask<JobView>(`/jobs/${job}`);
    const items = await Promise.all(
      (rooms ?? []).flatMap((room) => room.items).map(({ id }) => ask<ItemView>(`/jobs/${job}/items/${id}`)),
    );
    const [first] = items;
    if (first === undefined) continue;
    await send('set_rules', { job }, { set: { coats: 2 } });
    await send('set_item', { job, item: first.id }, { name: `${first.name}, again`, ...first.spec });
    const done = items.find(({ stages }) => stages.some((stage) => stage.done !== undefined));
    const last = done?.stages.filter((stage) => stage.done !== undefined).at(-1);
    if (done !== undefined && last !== undefined) {
      await send('reopen_stage', { job, item: done.id }, { stage: last.stage, reason: 'The paint ran.' });
    }
    const taken = await send('take_reading', { job, item: first.id }, { reading: 'width_top', value: 762_000_000, tool: 'laser' });
    await send('withdraw', { job, item: first.id }, { command_id: taken, reason: 'Read from the wrong side.' });
    passing: for (const { id, stages } of items) {
      for (const { findings, keys } of stages) {
        for (const [at, { severity }] of (findings ?? []).entries()) {
          const key = keys?.[at];
          if (severity !== 'stop' || key === undefined) continue;
          try {
            await send('pass_stop', { job, item: id }, { key, reason: 'The owner wants it so.' });
            break passing;
          } catch {
            // Not every stop may be passed.
          }
        }
      }
    }
    await saw(lead, job);
    await send('remove_item', { job, item: first.id }, { reason: 'The owner kept the old door.' });
    await send('restore_item', { job, item: first.id }, {});
    await walk(lead, site, job);
    const log = await ask<unknown>(`/jobs/${job}/log?limit=1000`);
    writeFileSync(`${folder}/house-${n + 1}.log.json`, `${JSON.stringify(log, null, 1)}\n`);
  }
}

/** A stick of the plan taken, what is to be cut from it, a length of it lost, and the rest put by. */
async function saw({ ask, send }: Voice, job: string): Promise<void> {
  const { plan } = await ask<StockSheet>(`/jobs/${job}/stock`);
  const laid = (plan?.stocks ?? []).flatMap(({ stock, sticks }) => (sticks ?? []).map((stick) => ({ stock, stick })));
  const joined = laid.find(({ stick }) => stick.from === 'buy' && stick.pieces.some(({ parts }) => parts !== undefined));
  if (joined === undefined) throw new Error('the plan joins nothing');
  const { stock, stick } = joined;
  await send('take_stick', { job, id: stick.id }, { stock, length: stick.length });
  for (const { item_id: item, piece, part, parts, length, computed, joints } of stick.pieces) {
    if (part === undefined || parts === undefined) continue;
    await send('saw_part', { job, item }, {
      stick_id: stick.id,
      piece,
      part,
      parts,
      as_cut: length,
      computed,
      ...(joints === undefined ? {} : { joints }),
    });
  }
  await send('miscut', { job }, { stick_id: stick.id, length: 25_400_000, reason: 'A knot.' });
  await send('return_offcut', { job }, { stock, length: 304_800_000, place: 'garage', stick_id: stick.id });
}

/** The lead gives the homeowner more time, who says one thing more, signs for everything as it stands, and the lead ends the walkthrough. */
async function walk({ send }: Voice, site: { url: string; walk: string }, job: string): Promise<void> {
  const at = async <T>(path: string, body?: object, key?: string): Promise<T> => {
    const answer = await fetch(`${site.url}/api/v1${path}`, {
      method: body === undefined ? 'GET' : 'POST',
      headers: { 'Content-Type': 'application/json', ...(key === undefined ? {} : { Authorization: `Bearer ${key}` }) },
      ...(body === undefined ? {} : { body: JSON.stringify(body) }),
    });
    const said = await answer.text();
    if (!answer.ok || said.includes('"applied":false')) throw new Error(`${path}: ${said}`);
    return JSON.parse(said) as T;
  };
  const { key } = await at<components['schemas']['Entered']>('/walk/enter', {
    token: new URL(site.walk).hash.slice(1),
    passphrase: '',
  });
  const say = (made: object) =>
    at('/walk/commands', { sent_at: new Date().toISOString(), commands: [made] }, key);
  let { view } = await at<WalkPage>('/walk', undefined, key);
  if (view.job_id !== job) return;
  const room = view.rooms[0]?.id ?? '';
  // As the service does where a new link outlives the walkthrough.
  const longer = new Date(Date.parse(view.expires_at) + 14 * 24 * 3600_000);
  await send('extend_walk', { job, walk: view.id }, { expires_at: longer.toISOString() });
  await say(command('say_remark', { job, room, walk: view.id }, { about: 'paint', text: 'A drip by the window.' }));
  ({ view } = await at<WalkPage>('/walk', undefined, key));
  const open = view.open.length === 0 ? {} : { open: view.open };
  await say(command('sign_off', { job, walk: view.id }, { name: 'Dana Whitfield', strokes: 'M100 500L900 500', ...open }));
  await send('close_walk', { job, walk: view.id }, { reason: 'Everything is said.' });
}
