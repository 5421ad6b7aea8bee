import type { Casing, OpeningKind, Swing } from './opening-spec.ts';

/* Small drawings to point at. They show what is meant, not a size: sizes are the server's drawing. */

/** An opening's elevation as a carpenter sketches it on the wall. */
export function KindDrawing({ kind }: { kind: OpeningKind }) {
  return (
    <svg class="kind-drawing" viewBox="0 0 80 84" aria-hidden="true">
      <path class="sketch-floor" d="M2 78H78" />
      {elevations[kind]}
    </svg>
  );
}

const casing = <path class="sketch-line" d="M18 78V12H62V78M23 78V17H57V78" />;
const wide = <path class="sketch-line" d="M8 78V12H72V78M13 78V17H67V78" />;

const elevations: Readonly<Record<OpeningKind, preact.JSX.Element>> = {
  door: (
    <>
      {casing}
      <path class="sketch-slab" d="M25 76V19H55V76Z" />
      <path class="sketch-thin" d="M25 19L55 47L25 76" />
      <path class="sketch-bold" d="M50 49V53" />
    </>
  ),
  cased_opening: casing,
  pair: (
    <>
      {wide}
      <path class="sketch-slab" d="M15 76V19H39V76ZM41 76V19H65V76Z" />
      <path class="sketch-thin" d="M15 19L39 47L15 76M65 19L41 47L65 76" />
    </>
  ),
  pocket: (
    <>
      <path class="sketch-line" d="M34 78V12H74V78M39 78V17H69V78" />
      <path class="sketch-slab" d="M30 76V19H58V76Z" />
      <path class="sketch-thin sketch-dash" d="M6 76V19H34" />
      <path class="sketch-thin" d="M50 47H20M26 41L20 47L26 53" />
    </>
  ),
  bifold: (
    <>
      {wide}
      <path
        class="sketch-slab"
        d="M15 76V19L26 23V80ZM26 23V80L38 76V19ZM42 76V19L54 23V80ZM54 23V80L65 76V19Z"
      />
    </>
  ),
  bypass: (
    <>
      {wide}
      <path class="sketch-slab" d="M15 76V19H43V76Z" />
      <path class="sketch-slab sketch-behind" d="M37 76V21H65V76Z" />
      <path class="sketch-thin" d="M30 47H20M24 43L20 47L24 51M50 47H60M56 43L60 47L56 51" />
    </>
  ),
  window: (
    <>
      <path class="sketch-line" d="M16 58V12H64V58ZM21 53V17H59V53Z" />
      <path class="sketch-slab" d="M24 50V20H56V50Z" />
      <path class="sketch-thin" d="M24 35H56" />
    </>
  ),
};

/** A plan of the doorway with face A below, where the person stands: hinge side and swing. */
export function SwingDrawing({ swing }: { swing: Swing }) {
  const left = swing.hinge === 'left';
  const near = swing.to === 'a';
  const pin = left ? 22 : 66;
  const latch = left ? 66 : 22;
  const wall = near ? 58 : 46; // the face the slab swings from
  const tip = near ? wall + 40 : wall - 40;
  return (
    <svg class="swing-drawing" viewBox="0 0 88 104" aria-hidden="true">
      <path class="sketch-wall" d="M2 46H20V58H2ZM68 46H86V58H68Z" />
      <path class="sketch-slab" d={`M${pin - 2} ${wall}H${pin + 2}V${tip}H${pin - 2}Z`} />
      <path
        class="sketch-thin sketch-dash"
        d={`M${pin} ${tip}A44 40 0 0 ${left === near ? 0 : 1} ${latch} ${wall}`}
      />
      <circle class="sketch-pin" cx={pin} cy={wall} r="3" />
    </svg>
  );
}

/** How casing turns the corner at the head: one corner, close to. */
export function CasingDrawing({ style }: { style: Casing['style'] | 'none' }) {
  return (
    <svg class="casing-drawing" viewBox="0 0 72 56" aria-hidden="true">
      {style === 'none' && <path class="sketch-thin sketch-dash" d="M26 54V24H70" />}
      {style === 'mitered' && <path class="sketch-slab" d="M10 54V8H70V24H26V54ZM10 8L26 24" />}
      {style === 'butt_head' && <path class="sketch-slab" d="M10 54V24H26V54M4 8H70V24H4Z" />}
      {style === 'corner_blocks' && (
        <path
          class="sketch-slab"
          d="M10 54V26H26V54M26 9H70V24H26M7 6H28V27H7ZM13 16.500A4.500 4.500 0 1 0 22 16.500A4.500 4.500 0 1 0 13 16.500"
        />
      )}
    </svg>
  );
}
