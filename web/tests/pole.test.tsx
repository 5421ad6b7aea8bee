import { render } from 'preact';
import { act } from 'preact/test-utils';
import { describe, expect, it, vi } from 'vitest';
import { Pole } from '../src/parts/pole.tsx';
import { type PoleStage, poleName, pressing, stageOrder } from '../src/parts/stages.ts';

const stages = (...states: PoleStage['state'][]): PoleStage[] =>
  states.map((state, at) => ({ name: stageOrder[at] ?? 'painted', state }));

describe("a pole's name", () => {
  it('says the held stage first, then how many are done', () => {
    const held = stages('done', 'done', 'done', 'held', 'done', 'ready', 'open', 'open');
    expect(poleName(held)).toBe('Cased: held. 4 of 8 done.');
  });

  it('falls to redo, then ready, then open', () => {
    expect(poleName(stages('done', 'redone', 'ready'))).toBe('Trimmed: to redo. 1 of 3 done.');
    expect(poleName(stages('done', 'ready', 'open'))).toBe('Trimmed: ready. 1 of 3 done.');
    expect(poleName(stages('open', 'open'))).toBe('Measured: open. 0 of 2 done.');
    expect(poleName(stages('done', 'done'))).toBe('All 2 done.');
  });

  it('points at the lowest held stage of several', () => {
    expect(pressing(stages('done', 'held', 'held'))?.name).toBe('trimmed');
  });
});

describe('a pole', () => {
  const all = stages('done', 'held', 'redone', 'ready', 'open');

  it('draws each state in its own shape, small as large', () => {
    const box = document.createElement('div');
    for (const size of ['tiny', 'medium'] as const) {
      render(<Pole stages={all} size={size} of="East wall" />, box);
      const figure = box.querySelector('svg');
      expect(figure?.getAttribute('aria-label')).toBe('East wall. Trimmed: held. 1 of 5 done.');
      for (const part of ['fill', 'notch', 'cross', 'ready']) {
        const drawn = box.querySelector(`.figure-${part}`)?.getAttribute('d');
        // A cross is two strokes.
        expect(drawn?.match(/M/g)?.length, `${size} ${part}`).toBe(part === 'cross' ? 2 : 1);
      }
      render(null, box);
    }
  });

  it('fills from the floor up: the first stage stands lowest', () => {
    const box = document.createElement('div');
    render(<Pole stages={stages('done', 'open', 'open')} size="medium" />, box);
    const fill = box.querySelector('.figure-fill')?.getAttribute('d') ?? '';
    const [, top] = /^M\S+ ([\d.]+)h/.exec(fill) ?? [];
    const height = Number(box.querySelector('svg')?.getAttribute('height'));
    expect(Number(top)).toBeGreaterThan(height / 2);
    expect(fill.match(/Z/g)?.length).toBe(1);
    render(<Pole stages={stages('done', 'done', 'open')} size="medium" />, box);
    expect(box.querySelector('.figure-fill')?.getAttribute('d')?.match(/Z/g)?.length).toBe(2);
  });

  it('has a tick for what can be done, in stage order, and none for what cannot yet', () => {
    const box = document.createElement('div');
    const touched = vi.fn();
    act(() => render(<Pole stages={all} size="large" onStage={touched} />, box));
    const names = [...box.querySelectorAll('button')].map((tick) =>
      tick.getAttribute('aria-label'),
    );
    expect(names).toEqual([
      'Measured: done. Open it again.',
      'Trimmed: held. See why.',
      'Hung: to redo. Tick as done.',
      'Cased: tick as done.',
    ]);
    box.querySelectorAll('button')[3]?.click();
    expect(touched).toHaveBeenCalledWith('cased');
  });
});
