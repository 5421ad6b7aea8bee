import { render } from 'preact';
import { act } from 'preact/test-utils';
import { afterEach, beforeEach, describe, expect, it, test, vi } from 'vitest';
import type { StockSheet } from '../src/saw/stock.ts';
import { draftOf, merged, readPrice } from '../src/saw/yard-draft.ts';

const ask = vi.hoisted(() => vi.fn());
vi.mock('../src/api/client.ts', async (original) => ({ ...(await original<object>()), ask }));
vi.mock('../src/saw/read-length.ts', () => ({
  readLength: (text: string) => Promise.resolve({ nm: Number(text), text }),
}));

test.each([
  ['12.50', 1250],
  ['12,50', 1250],
  ['12,5', 1250],
  ['$ 1,250.50', 125_050],
  ['1,250', 125_000],
  ['1.250,50', 125_050],
  ['1250,50', 125_050],
  ['14', 1400],
  ['.99', 99],
  ['0', 0],
])('%s is a price', (text, cents) => {
  expect(readPrice(text)).toBe(cents);
});

test.each(['-3', '1,2,3', '12,50,00', '1,2345', 'ten', '.', '1e3', '12.5.0'])(
  '%s is no price',
  (text) => {
    expect(readPrice(text)).toBeNull();
  },
);

const line = (name: string, cents: number) => ({
  label: name,
  stock: { kind: 'casing' as const, name },
  flat: false,
  origin: 'company' as const,
  wanted: true,
  offers: [{ length: 96, text: '96', cents, limit: -1 }],
});
const sheet = (seq: number, ...list: ReturnType<typeof line>[]) =>
  ({ seq, rack: [], list }) as unknown as StockSheet;

describe('the yard’s list as it is written', () => {
  let place: HTMLElement;
  beforeEach(() => {
    ask.mockReset();
    place = document.body.appendChild(document.createElement('div'));
  });
  afterEach(() => {
    render(null, place);
    place.remove();
  });
  let onSet: (next: StockSheet) => void;
  async function show(next: StockSheet) {
    const { YardList } = await import('../src/saw/yard-list.tsx');
    onSet = (set) => render(<YardList job="job" sheet={set} onSet={onSet} />, place);
    await act(() => onSet(next));
  }
  const prices = () =>
    [...place.querySelectorAll<HTMLInputElement>('input[aria-label*="Price"]')].map(
      ({ value }) => value,
    );
  const type = (at: number, text: string) =>
    act(() => {
      const cell = place.querySelectorAll<HTMLInputElement>('input[aria-label*="Price"]')[at];
      if (cell === undefined) throw new Error('no cell');
      cell.value = text;
      cell.dispatchEvent(new Event('input', { bubbles: true }));
    });
  const save = () =>
    act(async () => {
      const buttons = [...place.querySelectorAll('button')];
      buttons.find(({ textContent }) => textContent === 'Save the list')?.click();
      await new Promise((resolve) => setTimeout(resolve, 0));
    });

  it('keeps what was typed when somebody ticks, and when another stock’s price changes', async () => {
    await show(sheet(1, line('A', 1000), line('B', 2000)));
    await type(0, '12,50');
    await act(() => onSet(sheet(2, line('A', 1000), line('B', 2000))));
    expect(prices()).toEqual(['12,50', '20.00']);
    await act(() => onSet(sheet(3, line('A', 1100), line('B', 2100), line('C', 3000))));
    expect(prices()).toEqual(['12,50', '21.00', '30.00']);
  });

  it('shows what was saved as the service has it, and says so', async () => {
    ask.mockResolvedValue(sheet(1, line('A', 1250)));
    await show(sheet(1, line('A', 1000)));
    await type(0, '12,50');
    await save();
    expect(ask.mock.calls[0]?.[1]?.body.lines[0].offers).toEqual([
      { length: 96, cents: 1250, limit: -1 },
    ]);
    expect(prices()).toEqual(['12.50']);
    expect(place.textContent).toContain('Saved.');
    await act(() => onSet(sheet(2, line('A', 1300))));
    expect(prices()).toEqual(['13.00']);
  });
});

it('a stock that is no longer listed goes, with what was typed of it', () => {
  const known = [line('A', 1000), line('B', 2000)].map(draftOf);
  const typed = known.map((draft) => ({ ...draft, flat: true }));
  const now = merged(typed, known, [line('B', 2500)]);
  expect(now.map(({ line: { label }, flat, rows }) => [label, flat, rows[0]?.price])).toEqual([
    ['B', true, '20.00'],
  ]);
});
