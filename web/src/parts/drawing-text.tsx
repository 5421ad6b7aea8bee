import { letters, lettersHere } from '../look/letters.ts';
import { splitFractions } from './split-fractions.ts';

interface Piece {
  readonly text: string;
  /** Set for a fraction; `text` is then the numerator. */
  readonly under?: string;
  readonly x: number;
  readonly width: number;
}

/** A line of type with stacked fractions, measured, for places where there is no HTML. */
export interface Typeset {
  readonly pieces: readonly Piece[];
  readonly width: number;
  readonly height: number;
  readonly size: number;
  /** How large a fraction's figures are against the rest. */
  readonly share: number;
}

const small = 0.66;
const gap = 0.15;
/** A fraction with no whole number beside it is set larger: it is all there is to read. */
const alone = 0.76;

export function typeset(text: string, size: number, weight: number): Typeset {
  const parts = splitFractions(text);
  const [only] = parts;
  const share = parts.length === 1 && typeof only === 'object' && only.whole === '' ? alone : small;
  const pieces: Piece[] = [];
  let x = 0;
  let stacked = false;
  const line = (words: string, copied: string) => {
    const width = measure(words, size, weight);
    pieces.push({ text: copied, x, width });
    x += width;
  };
  for (const part of parts) {
    if (typeof part === 'string') {
      line(part, part);
      continue;
    }
    stacked = true;
    // The space before a fraction is there to be read; the stack keeps its own distance.
    if (part.whole !== '') line(part.whole, `${part.whole} `);
    if (x > 0) x += gap * size;
    const width = Math.max(
      measure(part.numerator, size * share, 600),
      measure(part.denominator, size * share, 600),
    );
    pieces.push({ text: part.numerator, under: part.denominator, x, width });
    x += width + (part === parts.at(-1) ? 0 : 0.06 * size);
  }
  return { pieces, width: x, height: size * (stacked ? 2.2 * share : 1), size, share };
}

let canvas: CanvasRenderingContext2D | null | undefined;
let font = '';
/** Widths of a text a hundred pixels high, by weight: letters grow evenly, and setting a font is slow. */
const widths = new Map<string, number>();
const height = 100;

function measure(text: string, size: number, weight: number): number {
  const key = `${weight} ${text}`;
  let width = widths.get(key);
  if (width === undefined) {
    width = widthOf(text, weight);
    // Those of the letters that stand in until the app's own have come are not kept.
    if (lettersHere(weight)) widths.set(key, width);
  }
  return (width * size) / height;
}

function widthOf(text: string, weight: number): number {
  canvas ??= document.createElement('canvas').getContext('2d');
  const guess = text.length * height * 0.6;
  if (canvas === null || canvas === undefined) return guess;
  const wanted = letters(weight, height);
  if (font !== wanted) canvas.font = wanted;
  font = wanted;
  const { width } = canvas.measureText(text);
  return width > 0 ? width : guess;
}

/**
 * Draws typeset text with its middle at the origin. It is one text element that reads "80 3/8": the
 * space and the slash are there to be read, not inked.
 */
export function TypesetText(props: { type: Typeset; class: string }) {
  const { pieces, width, size, share } = props.type;
  const figure = size * share;
  const left = -width / 2;
  const cap = size * 0.36; // half the cap height: Public Sans capitals stand 0.723 em
  const bar = Math.max(1, size * 0.07);
  const away = bar / 2 + size * 0.08;
  return (
    <g class={props.class}>
      <text>
        {pieces.map((piece) => {
          const x = left + piece.x;
          if (piece.under === undefined) {
            return (
              <tspan key={piece.x} x={x} y={cap} font-size={size}>
                {piece.text}
              </tspan>
            );
          }
          const over = measure(piece.text, figure, 600);
          const under = measure(piece.under, figure, 600);
          return (
            <tspan key={piece.x} class="figures" font-size={figure}>
              <tspan x={x + (piece.width - over) / 2} y={-away}>
                {piece.text}
              </tspan>
              <tspan class="slash">/</tspan>
              <tspan x={x + (piece.width - under) / 2} y={away + figure * 0.723}>
                {piece.under}
              </tspan>
            </tspan>
          );
        })}
      </text>
      {pieces.map((piece) =>
        piece.under === undefined ? null : (
          <path
            key={piece.x}
            class="figures-bar"
            d={`M${left + piece.x} 0h${piece.width}`}
            stroke-width={bar}
          />
        ),
      )}
    </g>
  );
}
