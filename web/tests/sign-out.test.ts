import 'fake-indexeddb/auto';
import { expect, test } from 'vitest';
import { forgetHouses } from '../src/live/store.ts';
import { type KeptPhoto, openKept } from '../src/photos/kept.ts';

const photo = (photo_id: string, state: KeptPhoto['state']): KeptPhoto => ({
  photo_id,
  person_id: 'marco',
  job_id: 'job',
  item_id: 'item',
  jpeg: new ArrayBuffer(8),
  sha256: '0a'.repeat(32),
  width: 4,
  height: 3,
  taken_at: '2026-03-09T08:00:00Z',
  state,
});

test('who signs out leaves no picture of a house on the device but what was not sent', async () => {
  const kept = await openKept();
  await kept.put(photo('1', 'sent'));
  await kept.put(photo('2', 'waiting'));
  await forgetHouses('marco');
  expect((await kept.all()).map(({ photo_id }) => photo_id)).toEqual(['2']);
});
