import { render } from 'preact';
import { act } from 'preact/test-utils';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { Sheet } from '../src/parts/sheet.tsx';
import { Tape, type TapeProps } from '../src/parts/tape.tsx';
import type { Parsed } from '../src/rulebook/rulebook.ts';

let box: HTMLElement;

beforeEach(() => {
  box = document.createElement('div');
  document.body.append(box);
});

afterEach(() => {
  act(() => render(null, box));
  box.remove();
});

const known: Readonly<Record<string, Parsed>> = {
  '79 5/8': { nm: 2_022_475_000, text: '79 5/8' },
  '2018mm': { nm: 2_018_000_000, text: '79 7/16 heavy' },
};
const parse = (text: string): Promise<Parsed> =>
  Promise.resolve(known[text] ?? { sentence: 'Type the nearest 1/16.' });

function open(props: Partial<TapeProps> = {}) {
  const onKeep = vi.fn();
  const onNext = vi.fn();
  act(() =>
    render(
      <Tape
        label="Height, hinge side"
        unit="in"
        initial={null}
        parse={parse}
        onKeep={onKeep}
        onNext={onNext}
        {...props}
      />,
      box,
    ),
  );
  return { onKeep, onNext };
}

const button = (text: string) => {
  const found = [...box.querySelectorAll('button')].find(
    (candidate) => candidate.textContent === text || candidate.getAttribute('aria-label') === text,
  );
  if (found === undefined) throw new Error(`no button ${text}`);
  return found;
};
const press = (...texts: string[]) => {
  for (const text of texts) act(() => button(text).click());
};
const strip = () => box.querySelector('[role="slider"]');
const said = () => strip()?.getAttribute('aria-valuetext');
const key = (name: string) =>
  act(() => {
    strip()?.dispatchEvent(new KeyboardEvent('keydown', { key: name, bubbles: true }));
  });
const field = () => box.querySelector('.tape input[type="text"]') as HTMLInputElement;
const type = (text: string) =>
  act(() => {
    field().value = text;
    field().dispatchEvent(new Event('input', { bubbles: true }));
  });
const enter = async () => {
  act(() => {
    field().dispatchEvent(new KeyboardEvent('keydown', { key: 'Enter', bubbles: true }));
  });
  await vi.waitFor(() => expect(box.textContent).not.toContain('Reading it…'));
};

describe('a tape under the thumb', () => {
  it('keeps 80 1/16 heavy from pad, strip and shade, and goes on', () => {
    const { onKeep, onNext } = open();
    press('8', '0');
    key('ArrowRight');
    press('Heavy');
    expect(said()).toBe('80 1/16 inches heavy');
    press('Keep, next');
    expect(onKeep).toHaveBeenCalledWith(2_032_000_000 + 1_587_500 + 793_750);
    expect(onNext).toHaveBeenCalledTimes(1);
  });

  it('keeps without going on', () => {
    const { onKeep, onNext } = open({ initial: 762_000_000 });
    press('Keep');
    expect(onKeep).toHaveBeenCalledWith(762_000_000);
    expect(onNext).not.toHaveBeenCalled();
  });

  it('keeps nothing when nothing was taken, and says so', () => {
    const { onKeep } = open();
    press('Keep, next');
    expect(onKeep).not.toHaveBeenCalled();
    expect(box.querySelector('.tape-complaint')?.textContent).toBe('Take a reading first.');
  });

  it('walks the strip by keyboard: sixteenths, thirty-seconds, inches, ends', () => {
    open({ initial: 2_022_475_000 });
    key('ArrowRight');
    expect(said()).toBe('79 11/16 inches');
    press(fineName());
    key('ArrowLeft');
    expect(said()).toBe('79 21/32 inches');
    key('PageUp');
    expect(said()).toBe('80 21/32 inches');
    key('Home');
    expect(said()).toBe('80 inches');
    key('End');
    expect(said()).toBe('80 31/32 inches');
    expect(Number(strip()?.getAttribute('aria-valuenow'))).toBe(80.96875);
  });

  it('makes a lean say its direction, and needs none when plumb', () => {
    const { onKeep } = open({ signed: { plus: 'Top leans in', minus: 'Top leans away' } });
    key('ArrowRight');
    press('Keep');
    expect(onKeep).not.toHaveBeenCalled();
    expect(box.querySelector('.tape-complaint')?.textContent).toBe('Say which way.');
    act(() => box.querySelector<HTMLInputElement>('input[value="minus"]')?.click());
    press('Keep');
    expect(onKeep).toHaveBeenLastCalledWith(-1_587_500);
    key('ArrowLeft');
    press('Keep');
    expect(Object.is(onKeep.mock.lastCall?.[0], 0)).toBe(true);
  });
});

describe('a tape that is typed, dictated or shot', () => {
  it('reads back what the rule book understood, keeps exactly that on Enter, and goes on', async () => {
    const { onKeep, onNext } = open();
    type('2018mm');
    await enter();
    await vi.waitFor(() => expect(onKeep).toHaveBeenCalledWith(2_018_000_000));
    expect(box.querySelector('output')?.textContent).toContain('79');
    expect(said()).toBe('79 7/16 heavy inches');
    expect(onNext).toHaveBeenCalledTimes(1);
  });

  it("shows the refusal's sentence and keeps nothing", async () => {
    const { onKeep } = open();
    type('79 3/7');
    await enter();
    await vi.waitFor(() => expect(box.querySelector('.tape-complaint .fraction')).not.toBeNull());
    expect(onKeep).not.toHaveBeenCalled();
    expect(said()).toBe('Nothing taken yet');
  });

  it('never lets an older answer overtake a newer text', async () => {
    const slow: { text: string; answer: (parsed: Parsed) => void }[] = [];
    const { onKeep } = open({
      parse: (text) => new Promise((answer) => slow.push({ text, answer })),
    });
    type('7');
    act(() => {
      field().dispatchEvent(new KeyboardEvent('keydown', { key: 'Enter', bubbles: true }));
    });
    await vi.waitFor(() => expect(slow.map(({ text }) => text)).toEqual(['7']));
    type('79 5/8');
    await vi.waitFor(() => expect(slow.length).toBe(2));
    await act(async () => {
      slow[1]?.answer({ nm: 2_022_475_000, text: '79 5/8' });
      slow[0]?.answer({ nm: 177_800_000, text: '7' });
    });
    await vi.waitFor(() => expect(said()).toBe('79 5/8 inches'));
    expect(onKeep).not.toHaveBeenCalled();
  });

  it('says so when the rule book cannot answer, and the pad still works', async () => {
    const { onKeep } = open({ parse: () => Promise.reject(new Error('not loaded')) });
    type('79');
    await enter();
    await vi.waitFor(() => expect(box.textContent).toContain("Can't read typed lengths just now."));
    expect(onKeep).not.toHaveBeenCalled();
    press('7', '9', 'Keep');
    expect(onKeep).toHaveBeenCalledWith(2_006_600_000);
  });

  it('sends a laser that types into nowhere to the field', () => {
    open();
    act(() => {
      document.body.dispatchEvent(new KeyboardEvent('keydown', { key: '2', bubbles: true }));
    });
    expect(document.activeElement).toBe(field());
  });

  it("takes a laser's first shot on the sheet it lies in, and nothing typed elsewhere on it", () => {
    act(() =>
      render(
        <Sheet name="Height, hinge side" modal onClose={() => undefined}>
          <input aria-label="Why" />
          <Tape label="Height" unit="in" initial={null} parse={parse} onKeep={() => undefined} />
        </Sheet>,
        box,
      ),
    );
    const sheet = box.querySelector('dialog') as HTMLDialogElement;
    const shoot = (at: HTMLElement) => {
      at.focus();
      act(() => {
        at.dispatchEvent(new KeyboardEvent('keydown', { key: '8', bubbles: true }));
      });
    };
    const why = box.querySelector('input') as HTMLInputElement;
    shoot(why);
    expect(document.activeElement).toBe(why);
    shoot(sheet);
    expect(document.activeElement).toBe(field());
  });
});

function fineName(): string {
  const fine = box.querySelector('.side-fine');
  return fine?.textContent ?? '';
}
