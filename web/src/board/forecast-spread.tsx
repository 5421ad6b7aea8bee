import { t } from '../words/words.ts';
import type { Forecast } from './forecast.ts';
import { dayOf } from './when.ts';

const wide = 640;
const tall = 220;
const floor = tall - 34;
const top = 12;
const day = 86_400_000;

/** Midnights between two moments, far enough apart that their dates can be read. */
export function ticks(from: number, to: number, most = 8): number[] {
  const days = Math.max(1, (to - from) / day);
  const step = [1, 2, 7, 14, 28, 56, 112, 364].find((each) => days / each <= most) ?? 364;
  const at = new Date(from);
  at.setHours(0, 0, 0, 0);
  const out: number[] = [];
  for (at.setDate(at.getDate() + 1); at.getTime() <= to; at.setDate(at.getDate() + step)) {
    out.push(at.getTime());
  }
  return out;
}

/**
 * How many of the runs were done by when: the line climbs as they are, plumb lines drop from half
 * and from four of five to their dates. What it shows stands in words above it.
 */
export function Spread({ forecast }: { forecast: Forecast }) {
  const { spread, even, likely, start } = forecast;
  if (even === undefined || likely === undefined || spread.length === 0) return null;
  const from = Date.parse(start);
  const last = Date.parse(spread.at(-1)?.at ?? likely);
  const to = Math.max(last, from + day / 2);
  const x = (at: number) => 8 + ((at - from) / (to - from)) * (wide - 16);
  const y = (share: number) => floor - share * (floor - top);
  const line = spread
    .map(({ at, share }) => `${x(Date.parse(at)).toFixed(1)} ${y(share).toFixed(1)}`)
    .join('L');
  const name = t('forecast.spread', { even: dayOf(even), likely: dayOf(likely) });
  return (
    <svg class="spread" viewBox={`0 0 ${wide} ${tall}`} role="img" aria-label={name}>
      <path class="spread-under" d={`M${x(from)} ${floor}L${line}L${x(last)} ${floor}Z`} />
      <path class="spread-floor" d={`M0 ${floor}H${wide}`} />
      {ticks(from, to).map((at) => (
        <g key={at}>
          <path class="spread-tick" d={`M${x(at)} ${floor}v7`} />
          <text class="spread-date" x={x(at)} y={tall - 6} text-anchor={edge(x(at))}>
            {dayOf(new Date(at).toISOString(), 'short')}
          </text>
        </g>
      ))}
      <path class="spread-line" d={`M${line}`} />
      <Plumb x={x(Date.parse(even))} y={y(0.5)} words={t('forecast.half')} />
      <Plumb x={x(Date.parse(likely))} y={y(0.8)} words={t('forecast.fourOfFive')} />
    </svg>
  );
}

/** A date under the line's end would run out of the picture. */
function edge(x: number): 'start' | 'middle' | 'end' {
  if (x < 40) return 'start';
  return x > wide - 40 ? 'end' : 'middle';
}

/** The line only climbs, so above it to the left is always free. */
function Plumb({ x, y, words }: { x: number; y: number; words: string }) {
  const left = x > 160;
  return (
    <g>
      <path class="spread-plumb" d={`M${x} ${y}V${floor}`} />
      <path class="spread-bob" d={`M${x - 4} ${floor - 12}h8L${x} ${floor}Z`} />
      <text
        class="spread-words"
        x={left ? x - 6 : x + 8}
        y={left ? y - 6 : y + 22}
        text-anchor={left ? 'end' : 'start'}
      >
        {words}
      </text>
    </g>
  );
}
