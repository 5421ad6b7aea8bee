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
}

const small = 0.62;
const gap = 0.08;

export function typeset(text: string, size: number, weight: number): Typeset {
  const pieces: Piece[] = [];
  let x = 0;
  let stacked = false;
  for (const part of splitFractions(text)) {
    if (typeof part === 'string') {
      // The space before a fraction is there to be copied; the stack keeps its own distance.
      const width = measure(part.replace(/\u00a0$/, ''), size, weight);
      pieces.push({ text: part.replace(/\u00a0$/, ' '), x, width });
      x += width;
      continue;
    }
    stacked = true;
    if (x > 0) x += gap * size;
    const width = Math.max(
      measure(part.numerator, size * small, 700),
      measure(part.denominator, size * small, 700),
    );
    pieces.push({ text: part.numerator, under: part.denominator, x, width });
    x += width + gap * 0.5 * size;
  }
  return { pieces, width: x, height: size * (stacked ? 1.36 : 1), size };
}

let canvas: CanvasRenderingContext2D | null | undefined;

function measure(text: string, size: number, weight: number): number {
  canvas ??= document.createElement('canvas').getContext('2d');
  if (canvas === null || canvas === undefined) return text.length * size * 0.6;
  canvas.font = `${weight} ${size}px 'Public Sans Variable', sans-serif`;
  const { width } = canvas.measureText(text);
  return width > 0 ? width : text.length * size * 0.6;
}

/**
 * Draws typeset text with its middle at the origin. It is one text element that reads "80 3/8", so
 * a print or PDF can be searched and copied; the slash is there but not inked.
 */
export function TypesetText(props: { type: Typeset; class: string }) {
  const { pieces, width, size } = props.type;
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
          const over = measure(piece.text, size * small, 700);
          const under = measure(piece.under, size * small, 700);
          return (
            <tspan key={piece.x} class="figures" font-size={size * small}>
              <tspan x={x + (piece.width - over) / 2} y={-away}>
                {piece.text}
              </tspan>
              <tspan class="slash">/</tspan>
              <tspan x={x + (piece.width - under) / 2} y={away + size * small * 0.723}>
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
