import 'fake-indexeddb/auto';
import { expect, it, vi } from 'vitest';
import type { Me } from '../src/api/views.ts';
import { device } from '../src/live/device.ts';
import { act, outbox, pullJobs, startStore } from '../src/live/store.ts';
import { session } from '../src/sign-in/session.ts';

const job = '018f0000-0000-7000-8000-000000000001';
const item = '018f0000-0000-7000-8000-000000000002';
const me = { person_id: 'marco', name: 'Marco', role: 'installer', unit: 'in' } as Me;

it('a job that is no longer listed leaves the device though no page opened it, and what waits stays', async () => {
  let jobs: { status: number; body: unknown } | null = null;
  vi.stubGlobal('fetch', async (path: string) => {
    if (path !== '/api/v1/jobs' || jobs === null) throw new TypeError('Failed to fetch');
    return new Response(JSON.stringify(jobs.body), {
      status: jobs.status,
      headers: { 'Content-Type': 'application/json' },
    });
  });
  const { keep } = await device();
  // An earlier page left it there and was killed.
  await keep.setState({ person_id: 'marco', job_id: job, seq: 3, state: '{}' });
  startStore();
  session.value = { state: 'in', me };
  await act('note', { job, item }, { text: 'x' }, { said: 'a note' });
  await pullJobs();
  jobs = { status: 403, body: { detail: 'Not now.' } };
  await pullJobs();
  expect(await keep.jobs('marco')).toEqual([job]);
  jobs = { status: 200, body: { jobs: [] } };
  await pullJobs();
  await vi.waitFor(async () => expect(await keep.jobs('marco')).toEqual([]));
  expect(outbox.waiting.value.map(({ said }) => said)).toEqual(['a note']);
});
