import { render } from 'preact';
import { act } from 'preact/test-utils';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import type { Me, PhotoEntry, PhotoLine } from '../src/api/views.ts';

const asked: { path: string; answer: (photos: PhotoLine[]) => void; fail: () => void }[] = [];
vi.mock('../src/api/client.ts', async (original) => ({
  ...(await original<object>()),
  ask: (path: string) =>
    new Promise((resolve, reject) =>
      asked.push({
        path,
        answer: (photos) => resolve({ photos }),
        fail: () => reject(new Error('no signal')),
      }),
    ),
}));

const photo = (job: string) =>
  ({
    photo_id: `${job}-photo`,
    width: 40,
    height: 30,
    bytes: 900,
    person_id: 'tess',
  }) as PhotoEntry;
const line = (job: string, state: PhotoLine['state']) =>
  ({ photo_id: `${job}-photo`, state, received: 300, bytes: 900 }) as PhotoLine;

let place: HTMLElement;
beforeEach(() => {
  asked.length = 0;
  vi.useFakeTimers();
  place = document.body.appendChild(document.createElement('div'));
});
afterEach(() => {
  render(null, place);
  place.remove();
  vi.useRealTimers();
});

async function show(job: string) {
  const { PhotoStrip } = await import('../src/photos/strip.tsx');
  await act(() =>
    render(
      <PhotoStrip
        job={job}
        item="door"
        itemName="Door"
        photos={[photo(job)]}
        nameOf={() => 'Tess'}
      />,
      place,
    ),
  );
}
const pictures = () => [...place.querySelectorAll('img')].map((img) => img.getAttribute('src'));
const answer = async (say: () => void) =>
  await act(async () => {
    say();
    await vi.advanceTimersByTimeAsync(0);
  });

it('a picture is asked for once the service says that it has it', async () => {
  await show('there');
  expect(asked.map(({ path }) => path)).toEqual(['/jobs/there/photos']);
  expect(pictures()).toEqual([]);
  await answer(() => asked[0]?.answer([line('there', 'stored')]));
  expect(pictures()).toEqual(['/api/v1/jobs/there/photos/there-photo/thumb.jpg']);
});

it('a picture that is still on another phone is not asked for, and says on whose', async () => {
  await show('coming');
  await answer(() => asked[0]?.answer([line('coming', 'waiting')]));
  expect(pictures()).toEqual([]);
  expect(place.textContent).toContain('Tess');
});

it('without a signal, or with one that is slow to answer, what this device was given before is shown', async () => {
  await show('cut-off');
  expect(pictures()).toEqual([]);
  await answer(() => asked[0]?.fail());
  expect(pictures()).toHaveLength(1);

  asked.length = 0;
  await show('slow');
  expect(asked).toHaveLength(1);
  expect(pictures()).toEqual([]);
  await act(async () => {
    await vi.advanceTimersByTimeAsync(2_000);
  });
  expect(pictures()).toHaveLength(1);
});

it("a photo's moment is said in the language of the person at the phone, not of the browser", async () => {
  const { chooseLanguage } = await import('../src/words/choose.ts');
  const { session } = await import('../src/sign-in/session.ts');
  session.value = { state: 'in', me: { person_id: 'marco', role: 'installer' } as Me };
  await chooseLanguage('es');
  const at = '2026-03-29T15:04:05Z';
  const { PhotoStrip } = await import('../src/photos/strip.tsx');
  const photos = [{ ...photo('oak'), at }];
  await act(() =>
    render(
      <PhotoStrip job="oak" item="door" itemName="Door" photos={photos} nameOf={() => 'Tess'} />,
      place,
    ),
  );
  await act(async () => place.querySelector<HTMLButtonElement>('button')?.click());
  expect(place.querySelector('.photo-view')?.textContent).toContain(
    `Tess, ${new Date(at).toLocaleString('es-US')}`,
  );
  await chooseLanguage('en');
});
