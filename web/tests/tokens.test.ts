// @vitest-environment node
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';

const css = readFileSync(new URL('../src/look/tokens.css', import.meta.url), 'utf8');

function colors(block: string): Record<string, string> {
  return Object.fromEntries(
    [...block.matchAll(/--([\w-]+):\s*(#[0-9a-f]{6})/g)].map(([, name = '', value = '']) => [
      name,
      value,
    ]),
  );
}

function blockAfter(marker: string): string {
  const from = css.indexOf(marker);
  if (from < 0) throw new Error(`no ${marker} in tokens.css`);
  const open = css.indexOf('{', from);
  return css.slice(open, css.indexOf('}', open));
}

const light = colors(blockAfter(':root {'));
const darkBySystem = colors(blockAfter(":root:not([data-theme='light']) {"));
const darkByChoice = colors(blockAfter(":root[data-theme='dark'] {"));
const print = colors(css.slice(css.indexOf('@media print')));

// WCAG 2.2, "relative luminance" and "contrast ratio" as defined in its glossary.
function luminance(hex: string): number {
  const [r = 0, g = 0, b = 0] = [1, 3, 5].map((at) => {
    const share = Number.parseInt(hex.slice(at, at + 2), 16) / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

function contrast(a: string, b: string): number {
  const [high = 0, low = 0] = [luminance(a), luminance(b)].sort((x, y) => y - x);
  return (high + 0.05) / (low + 0.05);
}

describe('the palettes', () => {
  it('measures contrast as WCAG does', () => {
    expect(contrast('#000000', '#ffffff')).toBeCloseTo(21, 5);
    // WCAG 2.2 Understanding SC 1.4.3: #777 on white is 4.48:1 and fails, #767676 passes.
    expect(contrast('#777777', '#ffffff')).toBeCloseTo(4.48, 2);
  });

  it('has the same dark palette whoever asked for it', () => {
    expect(Object.keys(darkByChoice).length).toBeGreaterThan(12);
    expect(darkByChoice).toEqual(darkBySystem);
  });

  const palettes = { light, dark: darkByChoice, print };
  for (const [name, palette] of Object.entries(palettes)) {
    const ratio = (ink: string, ground: string) =>
      contrast(palette[ink] ?? 'missing', palette[ground] ?? 'missing');

    it(`${name}: numbers stand at 7:1 on every surface they stand on`, () => {
      for (const ink of ['graphite', 'pencil', 'chalk', 'held']) {
        for (const ground of ['primer', 'sheet']) {
          expect(ratio(ink, ground), `${ink} on ${ground}`).toBeGreaterThanOrEqual(7);
        }
      }
      for (const ground of ['steel', 'chalk-dust', 'shade']) {
        expect(ratio('graphite', ground), `graphite on ${ground}`).toBeGreaterThanOrEqual(7);
        expect(ratio('chalk', ground), `chalk on ${ground}`).toBeGreaterThanOrEqual(6);
      }
      if (name !== 'print') {
        expect(ratio('on-chalk', 'chalk')).toBeGreaterThanOrEqual(7);
        expect(ratio('on-held', 'held')).toBeGreaterThanOrEqual(7);
      }
    });

    it(`${name}: other words stand at 4.5:1 and lines that must be seen at 3:1`, () => {
      for (const ground of ['primer', 'sheet']) {
        expect(ratio('faint', ground)).toBeGreaterThanOrEqual(4.5);
        expect(ratio('scribe', ground)).toBeGreaterThanOrEqual(3);
      }
    });
  }
});
