import { widthOf } from '../look/letter-widths.ts';
import { round } from './drawing-boxes.ts';
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
    const width = widthOf(words, size, weight);
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
      widthOf(part.numerator, size * share, 600),
      widthOf(part.denominator, size * share, 600),
    );
    pieces.push({ text: part.numerator, under: part.denominator, x, width });
    x += width + (part === parts.at(-1) ? 0 : 0.06 * size);
  }
  return { pieces, width: x, height: size * (stacked ? 2.2 * share : 1), size, share };
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
  const [only] = pieces;
  if (pieces.length === 1 && only !== undefined && only.under === undefined) {
    return (
      <text class={props.class} x={round(left)} y={round(cap)} font-size={round(size)}>
        {only.text}
      </text>
    );
  }
  return (
    <g class={props.class}>
      <text>
        {pieces.map((piece) => {
          const x = left + piece.x;
          if (piece.under === undefined) {
            return (
              <tspan key={piece.x} x={round(x)} y={round(cap)} font-size={round(size)}>
                {piece.text}
              </tspan>
            );
          }
          const over = widthOf(piece.text, figure, 600);
          const under = widthOf(piece.under, figure, 600);
          return (
            <tspan key={piece.x} class="figures" font-size={round(figure)}>
              <tspan x={round(x + (piece.width - over) / 2)} y={round(-away)}>
                {piece.text}
              </tspan>
              <tspan class="slash">/</tspan>
              <tspan x={round(x + (piece.width - under) / 2)} y={round(away + figure * 0.723)}>
                {piece.under}
              </tspan>
            </tspan>
          );
        })}
      </text>
      <path
        class="figures-bar"
        d={pieces
          .map(({ under, x, width: wide }) =>
            under === undefined ? '' : `M${round(left + x)} 0h${round(wide)}`,
          )
          .join('')}
        stroke-width={round(bar)}
      />
    </g>
  );
}
