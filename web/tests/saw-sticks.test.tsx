import { signal } from '@preact/signals';
import { render } from 'preact';
import { act } from 'preact/test-utils';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import type { Command } from '../src/api/views.ts';
import type { PlanView } from '../src/saw/stock.ts';

const store = vi.hoisted(() => ({ outbox: {} as Record<string, unknown> }));
vi.mock('../src/live/store.ts', () => store);
const perform = vi.hoisted(() => vi.fn());
vi.mock('../src/board/doing.ts', () => ({ perform }));
const readLength = vi.hoisted(() => vi.fn());
vi.mock('../src/saw/read-length.ts', () => ({ readLength }));

const waiting = signal<readonly { command: Command }[]>([]);
let place: HTMLElement;
beforeEach(() => {
  waiting.value = [];
  store.outbox = { waiting, cutOff: signal(true), sending: signal(false) };
  perform.mockReset();
  readLength.mockReset();
  place = document.body.appendChild(document.createElement('div'));
});
afterEach(() => {
  render(null, place);
  place.remove();
});

const end = { saw: 'square', near: 0, far: 0 };
const plan = (taken: boolean) =>
  ({
    left_out: [],
    stocks: [
      {
        label: 'casing',
        stock: { kind: 'casing' },
        notes: [],
        sticks: [
          {
            id: 'stick',
            number: 1,
            from: 'buy',
            from_label: 'to buy',
            taken,
            length: 100,
            text: '8 ft',
            used: 0,
            remainder: 10,
            left: '10',
            pieces: ['head_casing', 'left_casing'].map((piece, at) => ({
              item_id: 'door',
              item: 'Door',
              piece,
              label: piece,
              state: 'to_cut',
              at: at * 45,
              length: 40,
              text: '40',
              computed: 40,
              left: end,
              right: end,
            })),
          },
        ],
      },
    ],
  }) as unknown as PlanView;

async function show(sheet: PlanView) {
  const { Sticks } = await import('../src/saw/sticks.tsx');
  await act(() => render(<Sticks job="job" plan={sheet} again={() => undefined} />, place));
}
const boxes = () => [...place.querySelectorAll<HTMLInputElement>('.piece-tick')];
const settled = () => new Promise((resolve) => setTimeout(resolve, 0));
const tap = async (...taps: number[]) =>
  await act(async () => {
    for (const at of taps) boxes()[at]?.click();
    await settled();
  });
const kinds = () => perform.mock.calls.map(([kind]) => kind as string);
const keep = (command: Partial<Command>) => {
  waiting.value = [...waiting.value, { command: command as Command }];
};

it('a second tap before anything is heard logs no second cut', async () => {
  perform.mockReturnValue(new Promise(() => undefined));
  await show(plan(true));
  await tap(0, 0);
  expect(kinds()).toEqual(['cut_pieces']);
  expect(boxes().map(({ checked }) => checked)).toEqual([true, false]);
  await tap(0);
  expect(kinds()).toEqual(['cut_pieces']);
});

it('a cut that waits for a signal shows as cut, says so, and a tap takes it back', async () => {
  // The service is asked, and has not answered.
  perform.mockReturnValue(new Promise(() => undefined));
  const sheet = plan(true);
  await show(sheet);
  await tap(0);
  await act(() =>
    keep({
      id: 'cut',
      item_id: 'door',
      cut_pieces: {
        stick_id: 'stick',
        pieces: [{ piece: 'head_casing', computed: 40, as_cut: 40 }],
      },
    }),
  );
  expect(boxes()[0]?.checked).toBe(true);
  expect(place.textContent).toContain('not sent yet');
  await tap(0);
  expect(perform.mock.calls.map(([kind, , body]) => [kind, body])).toMatchObject([
    ['cut_pieces', {}],
    ['withdraw', { command_id: 'cut' }],
  ]);
  await tap(0);
  expect(kinds()).toHaveLength(2);
});

it('sent, it shows as cut until the plan that has it is here', async () => {
  await show(plan(true));
  await act(() =>
    keep({
      id: 'cut',
      item_id: 'door',
      cut_pieces: {
        stick_id: 'stick',
        pieces: [{ piece: 'head_casing', computed: 40, as_cut: 40 }],
      },
    }),
  );
  await act(() => {
    waiting.value = [];
  });
  expect(boxes()[0]?.checked).toBe(true);
  await show(plan(true)); // the service says that it is not cut
  expect(boxes()[0]?.checked).toBe(false);
});

it('two pieces ticked at once take their stick once', async () => {
  let heard: (came: object) => void = () => undefined;
  perform.mockImplementation((kind: string) =>
    kind === 'take_stick'
      ? new Promise((resolve) => {
          heard = resolve;
        })
      : Promise.resolve({ came: 'done', findings: [] }),
  );
  await show(plan(false));
  await tap(0, 1);
  expect(kinds()).toEqual(['take_stick']);
  await act(async () => {
    heard({ came: 'done', findings: [] });
    await settled();
  });
  expect(kinds()).toEqual(['take_stick', 'cut_pieces', 'cut_pieces']);
});

it('a tick that fails is said', async () => {
  perform.mockRejectedValue(new Error('no storage'));
  await show(plan(true));
  await tap(0);
  expect(place.querySelector('[role=alert]')?.textContent).toContain('nothing is logged');
  expect(boxes()[0]?.checked).toBe(false);
});

const press = async (label: string, times: number) =>
  await act(async () => {
    const button = [...document.querySelectorAll('button')].find((each) =>
      each.textContent?.includes(label),
    );
    for (let n = 0; n < times; n++) button?.click();
    await settled();
  });

it('pressed twice, one offcut goes to the rack', async () => {
  readLength.mockResolvedValue({ nm: 10, text: '10' });
  perform.mockResolvedValue({ came: 'done', findings: [] });
  await show(plan(true));
  await press('Put the rest on the rack', 1);
  await press('Put it on the rack', 2);
  expect(kinds()).toEqual(['return_offcut']);
  expect(perform.mock.calls[0]?.[2]).toMatchObject({ stick_id: 'stick' });
});

it('a length that the rule book could not read is said, and can be tried again', async () => {
  readLength.mockRejectedValueOnce(new Error('the rule book did not load'));
  readLength.mockResolvedValue({ nm: 10, text: '10' });
  perform.mockResolvedValue({ came: 'done', findings: [] });
  await show(plan(true));
  await press('Put the rest on the rack', 1);
  await press('Put it on the rack', 1);
  expect(place.textContent).toContain('nothing is logged');
  expect(kinds()).toEqual([]);
  await press('Put it on the rack', 1);
  expect(kinds()).toEqual(['return_offcut']);
});
