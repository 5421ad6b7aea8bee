import { render } from 'preact';
import { expect, test, vi } from 'vitest';
import type { ItemView } from '../src/api/views.ts';
import { itemCell, show } from '../src/live/shown.ts';
import { itemView } from '../src/live/store.ts';
import { afterFrame, useSoFar } from '../src/shell/after-frame.ts';

test('a long list begins with a screenful and is whole a few frames later', async () => {
  const counts: number[] = [];
  const List = () => {
    const count = useSoFar(25, 3, 10);
    counts.push(count);
    return (
      <ul>
        {Array.from({ length: count }, (_, at) => (
          <li key={at} />
        ))}
      </ul>
    );
  };
  const root = document.createElement('div');
  render(<List />, root);
  expect(root.querySelectorAll('li')).toHaveLength(3);
  await vi.waitFor(() => expect(root.querySelectorAll('li')).toHaveLength(25));
  expect(counts).toEqual([3, 13, 23, 25]);
});

test('what comes after a frame comes once, and not when it is left undone', async () => {
  const done: string[] = [];
  const stop = afterFrame(() => done.push('left'));
  stop();
  await new Promise<void>((come) => {
    afterFrame(() => {
      done.push('came');
      come();
    });
  });
  expect(done).toEqual(['came']);
});

test('a view that says the same is not drawn again, one that says more is', () => {
  const cell = itemCell('one');
  const view = { id: 'one', through_seq: 3, stages: [{ stage: 'hung' }] } as unknown as ItemView;
  show(cell, view);
  const before = itemView('one').value;
  show(cell, structuredClone(view));
  expect(itemView('one').value).toBe(before);
  show(cell, { ...view, through_seq: 4 });
  expect(itemView('one').value.view?.through_seq).toBe(4);
});
