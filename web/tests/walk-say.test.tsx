import { signal } from '@preact/signals';
import { render } from 'preact';
import { act } from 'preact/test-utils';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import type { KeptPhoto } from '../src/photos/kept.ts';
import type { WalkPage } from '../src/walk/door.ts';
import { SayScreen } from '../src/walk/say.tsx';
import { unsent } from '../src/walk/visit.ts';

const walkPhotos = vi.hoisted(() => ({
  photos: { value: [] as readonly KeptPhoto[] },
  ready: Promise.resolve(),
  put: vi.fn(),
  belongsTo: vi.fn(),
}));
vi.mock('../src/walk/photo-queue.ts', () => ({ walkPhotos }));

const photo = {
  photo_id: 'p1',
  person_id: 'guest',
  jpeg: new ArrayBuffer(9),
  sha256: 'sum',
  width: 4,
  height: 3,
  state: 'draft',
} as unknown as KeptPhoto;

const page = {
  guest_id: 'guest',
  language: 'en',
  view: { id: 'walk', job_id: 'job', rooms: [{ id: 'room', name: 'Hall', items: [] }] },
} as unknown as WalkPage;

let place: HTMLElement;
beforeEach(() => {
  vi.stubGlobal('fetch', () => Promise.reject(new Error('no signal')));
  localStorage.clear();
  localStorage.setItem(
    'longpoint.walk.saying',
    JSON.stringify({
      ...{ walk: 'walk', room: 'room', item: null, step: 'words', at: null, about: 'dent' },
      ...{ text: 'Here.', photos: ['p1'], marks: [{ on: 'p1', x: 0.5, y: 0.5 }] },
    }),
  );
  unsent.value = [];
  walkPhotos.photos = signal([]);
  walkPhotos.put.mockReset();
  place = document.body.appendChild(document.createElement('div'));
});
afterEach(() => {
  render(null, place);
  place.remove();
  vi.unstubAllGlobals();
});

const show = () => act(() => render(<SayScreen page={page} room="room" item={null} />, place));
const settled = () => new Promise((resolve) => setTimeout(resolve, 0));
const sayIt = () =>
  act(async () => {
    const button = [...place.querySelectorAll('button')].find(
      ({ textContent }) => textContent === 'Tell the crew',
    );
    button?.click();
    button?.click();
    await settled();
  });
const saying = () => localStorage.getItem('longpoint.walk.saying');

it('said before the device has read its photos, a remark waits for them and goes with them', async () => {
  let read: () => void = () => undefined;
  walkPhotos.ready = new Promise((done) => {
    read = done;
  });
  await show();
  await sayIt();
  expect(unsent.value).toEqual([]);
  expect(saying()).toContain('p1');
  await act(async () => {
    walkPhotos.photos.value = [photo];
    read();
    await settled();
  });
  expect(unsent.value.map(({ kind }) => kind)).toEqual(['add_photo', 'say_remark']);
  expect(unsent.value[1]?.say_remark).toEqual({
    about: 'dent',
    text: 'Here.',
    photos: ['p1'],
    marks: [{ on: 'p1', x: 0.5, y: 0.5 }],
  });
  expect(walkPhotos.put.mock.calls).toEqual([[{ ...photo, state: 'waiting' }]]);
  expect(saying()).toBeNull();
});

it('where the photos cannot be had, that is said, and the remark stays to be said', async () => {
  walkPhotos.ready = Promise.reject(new Error('the storage did not open'));
  walkPhotos.ready.catch(() => undefined);
  walkPhotos.photos.value = [photo];
  await show();
  await sayIt();
  expect(place.textContent).toContain('not at hand yet');
  expect(unsent.value).toEqual([]);
  expect(saying()).toContain('p1');

  walkPhotos.ready = Promise.resolve();
  await sayIt();
  expect(unsent.value[1]?.say_remark?.photos).toEqual(['p1']);
  expect(place.textContent).not.toContain('not at hand yet');
});
