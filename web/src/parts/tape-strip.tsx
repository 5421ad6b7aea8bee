import { useRef, useState } from 'preact/hooks';
import type { Unit } from '../rulebook/rulebook.ts';
import { t } from '../words/words.ts';
import { lowestTerms, MILLIMETER, nearestMark, SIXTY_FOURTH, scales } from './tape-reading.ts';

export interface TapeStripProps {
  unit: Unit;
  /** Where the enlarged span begins, and the length marked; null before anything was taken. */
  start: number;
  length: number | null;
  fine: boolean;
  /** How the whole reading sounds: "79 5/8 inches, heavy". */
  spoken: string;
  onMark: (nm: number) => void;
  onNudge: (by: 1 | -1) => void;
  onWhole: (by: 1 | -1) => void;
  onFine: () => void;
  onEnter: () => void;
}

const longPress = 450;
const stray = 6;

export function TapeStrip(props: TapeStripProps) {
  const { unit, start, length, fine } = props;
  const scale = scales[unit];
  const step = fine ? scale.fineStep : scale.step;
  const blade = useRef<SVGSVGElement>(null);
  const press = useRef<{ x: number; timer: number } | null>(null);
  // The span stays where it was while a finger is down, so a drag to its end doesn't turn the page.
  const [heldStart, setHeldStart] = useState<number | null>(null);
  const from = heldStart ?? start;

  const markAt = (x: number) => {
    const box = blade.current?.getBoundingClientRect();
    if (box === undefined || box.width === 0) return;
    const share = Math.min(Math.max((x - box.left) / box.width, 0), 1);
    const nm = from + nearestMark(share * scale.span, step);
    if (nm !== length) navigator.vibrate?.(3);
    props.onMark(nm);
  };

  const down = (event: PointerEvent) => {
    if (event.button !== 0) return;
    if (event.currentTarget instanceof Element) {
      event.currentTarget.setPointerCapture?.(event.pointerId);
    }
    const timer = window.setTimeout(props.onFine, longPress);
    press.current = { x: event.clientX, timer };
    setHeldStart(start);
    markAt(event.clientX);
  };
  const move = (event: PointerEvent) => {
    const held = press.current;
    if (held === null) return;
    if (Math.abs(event.clientX - held.x) > stray) window.clearTimeout(held.timer);
    markAt(event.clientX);
  };
  const up = () => {
    if (press.current !== null) window.clearTimeout(press.current.timer);
    press.current = null;
    setHeldStart(null);
  };

  const key = (event: KeyboardEvent) => {
    const does: Record<string, () => void> = {
      ArrowRight: () => props.onNudge(1),
      ArrowUp: () => props.onNudge(1),
      ArrowLeft: () => props.onNudge(-1),
      ArrowDown: () => props.onNudge(-1),
      PageUp: () => props.onWhole(1),
      PageDown: () => props.onWhole(-1),
      Home: () => props.onMark(start),
      End: () => props.onMark(start + scale.span - step),
      Enter: props.onEnter,
    };
    const act = does[event.key];
    if (act === undefined) return;
    event.preventDefault();
    act();
  };

  const into = length === null ? null : length - from;
  const at = into === null ? null : (into / scale.span) * 100;
  return (
    <div
      class="strip"
      role="slider"
      tabIndex={0}
      aria-label={t('tape.tape')}
      aria-valuemin={0}
      aria-valuemax={1200 * (unit === 'in' ? 1 : 25.4)}
      aria-valuenow={(length ?? 0) / scale.whole}
      aria-valuetext={props.spoken}
      onPointerDown={down}
      onPointerMove={move}
      onPointerUp={up}
      onPointerCancel={up}
      onKeyDown={key}
    >
      <svg ref={blade} class="strip-blade" aria-hidden="true">
        {at !== null && (
          <rect class="strip-run" x="-12%" y="0" width={`${Math.max(at + 12, 0)}%`} height="100%" />
        )}
        {unit === 'in' ? (
          <InchMarks whole={from / scale.whole} fine={fine} here={into} />
        ) : (
          <CentimeterMarks whole={from / scale.whole} fine={fine} here={into} />
        )}
        {at !== null && (
          <svg x={`${at}%`} overflow="visible" aria-hidden="true">
            <path class="strip-mark" d={markLine(unit, into)} />
            <path class="strip-foot" d="M-9 112L0 97L9 112" />
          </svg>
        )}
      </svg>
    </div>
  );
}

/* Tick lengths as on steel: the inch longest, then half, quarter, eighth, sixteenth, thirty-second. */
const inchTicks: Readonly<Record<number, number>> = { 1: 74, 2: 58, 4: 46, 8: 34, 16: 22, 32: 13 };

/** The chalk line stops for a tick's figures, so the mark never covers what it stands on. */
function markLine(unit: Unit, into: number | null): string {
  const unbroken = 'M0 0V98';
  if (into === null || into <= 0 || into >= scales[unit].span) return unbroken;
  if (unit === 'mm') {
    if (into % MILLIMETER !== 0) return unbroken;
    const end = into === 5 * MILLIMETER ? mmTicks.half : mmTicks.one;
    return `M0 0V${end}M0 ${end + 21}V98`;
  }
  if (into % (8 * SIXTY_FOURTH) !== 0) return unbroken;
  const end = inchTicks[lowestTerms(into / SIXTY_FOURTH)?.denominator ?? 1] ?? 0;
  return `M0 0V${end}M0 ${Math.min(end + 36, 94)}V98`;
}

const mmTicks = { ten: 74, half: 52, one: 34, part: 16 };

interface Marks {
  whole: number;
  fine: boolean;
  /** Nanometers into the span, where the mark is; its figures turn to chalk. */
  here: number | null;
}

function InchMarks(props: Marks) {
  const every = props.fine ? 2 : 4;
  const ticks = [];
  for (let at = -4; at <= 68; at += every) {
    const inInch = ((at % 64) + 64) % 64;
    const fraction = lowestTerms(inInch);
    const denominator = fraction?.denominator ?? 1;
    const x = `${(at / 64) * 100}%`;
    const y2 = inchTicks[denominator] ?? 13;
    ticks.push(
      <line key={at} class={denominator > 8 ? 'tick-thin' : 'tick'} x1={x} x2={x} y2={y2} />,
    );
    const figureClass = props.here === at * SIXTY_FOURTH ? 'tick-here' : '';
    if (fraction !== null && denominator <= 8 && at > 0 && at < 64) {
      ticks.push(
        <svg key={`n${at}`} class={figureClass} x={x} y={y2} overflow="visible" aria-hidden="true">
          <text class="tick-figure" y="15">
            {fraction.numerator}
          </text>
          <path class="tick-bar" d="M-5 18.5H5" />
          <text class="tick-figure" y="31">
            {denominator}
          </text>
        </svg>,
      );
    }
  }
  return (
    <>
      {ticks}
      <text class="tick-whole" x="1.6%" y="100">
        {props.whole}
      </text>
      <text class="tick-whole tick-whole-end" x="98.4%" y="100">
        {props.whole + 1}
      </text>
    </>
  );
}

function CentimeterMarks(props: Marks) {
  const ticks = [];
  for (let half = -1; half <= 21; half += props.fine ? 1 : 2) {
    if (!props.fine && half % 2 !== 0) half += 1;
    const inCm = ((half % 20) + 20) % 20;
    const { ten, one, part } = mmTicks;
    const length = inCm === 0 ? ten : inCm === 10 ? mmTicks.half : inCm % 2 === 0 ? one : part;
    const here = props.here === (half / 2) * MILLIMETER;
    const x = `${half * 5}%`;
    ticks.push(
      <line key={half} class={inCm % 2 === 0 ? 'tick' : 'tick-thin'} x1={x} x2={x} y2={length} />,
    );
    if (inCm % 2 === 0 && inCm !== 0 && half > 0 && half < 20) {
      ticks.push(
        <text
          key={`n${half}`}
          class={here ? 'tick-figure tick-here' : 'tick-figure'}
          x={x}
          y={length + 16}
        >
          {inCm / 2}
        </text>,
      );
    }
  }
  return (
    <>
      {ticks}
      <text class="tick-whole" x="1.6%" y="100">
        {props.whole}
      </text>
      <text class="tick-whole tick-whole-end" x="98.4%" y="100">
        {props.whole + 10}
      </text>
    </>
  );
}

/** How many nanometers one nudge moves. */
export function stripStep(unit: Unit, fine: boolean): number {
  return fine ? scales[unit].fineStep : scales[unit].step;
}
