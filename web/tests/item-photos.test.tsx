import { signal } from '@preact/signals';
import { render } from 'preact';
import { act } from 'preact/test-utils';
import { expect, it, vi } from 'vitest';
import type { ItemView } from '../src/api/views.ts';
import { Photos } from '../src/bench/photos.tsx';
import type { KeptPhoto } from '../src/photos/kept.ts';

const live = vi.hoisted(() => ({ queue: {} as Record<string, unknown>, takePhoto: vi.fn() }));
vi.mock('../src/photos/live.ts', () => ({
  ...live,
  statesAnswered: () => true,
  askStates: () => Promise.resolve(),
}));

const settled = () => new Promise((resolve) => setTimeout(resolve, 0));

it('of several pictures the next one ready leaves the caption being typed alone', async () => {
  const photos = signal<readonly KeptPhoto[]>([]);
  Object.assign(live.queue, { photos, onlyHere: signal(new Set()), put: () => Promise.resolve() });
  const ready: (() => void)[] = [];
  live.takePhoto.mockImplementation((_job: string, item: string, file: File) => {
    const jpeg = new ArrayBuffer(1);
    const made = { photo_id: file.name, item_id: item, state: 'draft', jpeg, width: 4, height: 3 };
    return new Promise((done) =>
      ready.push(() => {
        photos.value = [...photos.value, made as unknown as KeptPhoto];
        done(made);
      }),
    );
  });
  const place = document.body.appendChild(document.createElement('div'));
  const view = { id: 'door', job_id: 'job', name: 'Door', photos: [] } as unknown as ItemView;
  await act(() => render(<Photos view={view} />, place));
  const input = place.querySelector<HTMLInputElement>('input[type=file][multiple]');
  if (input === null) throw new Error('no way to choose several');
  await act(async () => {
    Object.defineProperty(input, 'files', { value: [new File([], 'one'), new File([], 'two')] });
    input.dispatchEvent(new Event('change', { bubbles: true }));
    await settled();
  });
  const caption = () => document.querySelector<HTMLInputElement>('dialog input');
  const goesOn = () =>
    act(async () => {
      ready.shift()?.();
      await settled();
    });
  await goesOn();
  const first = caption();
  if (first === null) throw new Error('no sheet');
  await act(() => {
    first.value = 'The split';
    first.dispatchEvent(new Event('input', { bubbles: true }));
  });
  await goesOn();
  expect(photos.value).toHaveLength(2);
  expect(caption()?.value).toBe('The split');
  expect(place.querySelectorAll('.photo-draft')).toHaveLength(2);
  render(null, place);
});
