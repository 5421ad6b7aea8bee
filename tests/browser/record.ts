import { mkdirSync, writeFileSync } from 'node:fs';
import type { ItemView, JobView } from '../../web/src/api/views.ts';
import { voiceOf } from './crew.ts';

/*
 * Writes down a house's whole log for tests/commands, with what the app has sent in the journey and
 * what no journey does yet: those few are made by the app's own code and sent from here.
 */
export async function record(site: { url: string; passphrase: string }, folder: string): Promise<void> {
  const { ask, send } = await voiceOf(site, 'ruth');
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
    const log = await ask<unknown>(`/jobs/${job}/log?limit=1000`);
    writeFileSync(`${folder}/house-${n + 1}.log.json`, `${JSON.stringify(log, null, 1)}\n`);
  }
}
