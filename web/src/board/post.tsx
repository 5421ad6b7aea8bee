// biome-ignore-all lint/a11y/useFocusableInteractive: in a grid the row is walked and chosen, its cells are only heard
// biome-ignore-all lint/a11y/useKeyWithClickEvents: keys are taken by the grid itself, for whichever row has the focus
import { Component } from 'preact';
import type { PoleMark, PoleView } from '../api/views.ts';
import { Words } from '../parts/fraction.tsx';
import { t } from '../words/words.ts';
import { dragStart } from './crew.tsx';
import { personName } from './people.ts';
import type { Scale } from './rows.ts';

export interface PostProps {
  readonly pole: PoleView;
  /** Every level of the board; an opening that skips one has an open length there. */
  readonly levels: readonly PoleMark[];
  readonly scale: Scale;
  readonly column: number;
  readonly selected: boolean;
  /** The one pole that Tab comes to. */
  readonly tabStop: boolean;
  /** Something came of it just now, in words. */
  readonly fresh: string | null;
  /** Its person, where that is another than the room's. */
  readonly person: string | null;
  readonly onSelect: (id: string, open: boolean) => void;
}

/**
 * An opening's pole on the board: a row of the table to who hears it, a marked batten standing on
 * the floor to who sees it. Drawn again only when something of it changed: a board can have hundreds.
 */
export class Post extends Component<PostProps> {
  override shouldComponentUpdate(next: PostProps): boolean {
    const now = this.props;
    return (Object.keys(next) as (keyof PostProps)[]).some((key) => now[key] !== next[key]);
  }

  render({ pole, levels, scale, column, selected, tabStop, fresh, person, onSelect }: PostProps) {
    const roomy = scale.name === 'roomy';
    return (
      <div
        role="row"
        class={`post post-${scale.name} ${selected ? 'post-selected' : ''}`}
        style={{ width: `${column}px` }}
        data-place={`pole:${pole.id}`}
        tabIndex={tabStop ? 0 : -1}
        aria-selected={selected}
        draggable
        onDragStart={(event) => dragStart(event, { kind: 'pole', id: pole.id })}
        onClick={() => onSelect(pole.id, false)}
        onDblClick={() => onSelect(pole.id, true)}
      >
        <div class="post-stand" aria-hidden="true">
          <Batten pole={pole} levels={levels} scale={scale} />
          {roomy && <Remark pole={pole} levels={levels} scale={scale} />}
        </div>
        <span role="rowheader" class="post-foot">
          <span class="post-name">{pole.name}</span>
          {person !== null && <span class="post-person">{person}</span>}
          {fresh !== null && <span class="post-fresh">{fresh}</span>}
        </span>
        {/* One box for all of them: the browser lays out hundreds of these. */}
        <span role="presentation" class="unseen">
          {levels.map((level) => {
            const mark = pole.marks.find(({ stage }) => stage === level.stage);
            return (
              <span role="gridcell" key={level.stage}>
                {mark === undefined ? t('board.skips') : t(`state.${mark.status}`)}
              </span>
            );
          })}
          <span role="gridcell">{personName(pole.assigned_to) ?? t('board.nobody')}</span>
          <span role="gridcell">{pole.sentence ?? t('board.allDone')}</span>
        </span>
      </div>
    );
  }
}

interface BattenProps {
  readonly pole: PoleView;
  readonly levels: readonly PoleMark[];
  readonly scale: Scale;
}

/**
 * The pole itself, to the board's levels, so that poles of different openings read together. What
 * looks alike is one path, whichever stages it is of.
 */
function Batten({ pole, levels, scale }: BattenProps) {
  const { rise, pole: width } = scale;
  const side = Math.round(width * 0.62);
  const height = levels.length * rise;
  const right = side + width;
  const top = 8;
  const foot = top + height;
  const inset = Math.max(1.5, rise * 0.18);
  const drawn = new Map<string, string>();
  const draw = (what: string, path: string) => drawn.set(what, (drawn.get(what) ?? '') + path);
  for (const [index, level] of levels.entries()) {
    const low = foot - index * rise;
    const high = low - rise;
    const middle = (low + high) / 2;
    const sides = `M${side} ${low}V${high}M${right} ${low}V${high}`;
    const status = pole.marks.find(({ stage }) => stage === level.stage)?.status;
    if (status === undefined) {
      draw('batten-skipped', sides);
      continue;
    }
    const done = status === 'done' ? '-done' : '';
    draw(`batten-wood${done}`, `M${side} ${high}H${right}V${low}H${side}Z`);
    draw(`batten-mark${done}`, `M${side} ${high}H${right}`);
    draw('batten-side', sides);
    if (status === 'redone') {
      draw(
        'batten-cross',
        `M${side - 4} ${low - inset}L${right + 4} ${high + inset}M${side - 4} ${high + inset}L${right + 4} ${low - inset}`,
      );
    }
    if (status === 'ready') {
      draw(
        'batten-foot',
        `M${side + width * 0.2} ${low - inset}L${side + width / 2} ${high + inset}L${right - width * 0.2} ${low - inset}`,
      );
    }
    if (status === 'held') {
      draw(
        'batten-notch',
        `M${right + side * 0.8} ${middle - rise * 0.56}L${side + width * 0.34} ${middle}L${right + side * 0.8} ${middle + rise * 0.56}Z`,
      );
    }
  }
  draw('batten-side', `M${side} ${top}H${right}`);
  return (
    <svg
      class="post-pole"
      width={right + side}
      height={foot}
      viewBox={`0 0 ${right + side} ${foot}`}
      aria-hidden="true"
    >
      {order.map((what) => {
        const path = drawn.get(what);
        return path === undefined ? null : <path key={what} class={what} d={path} />;
      })}
    </svg>
  );
}

/** Wood first, then what is marked on it. */
const order = [
  'batten-wood',
  'batten-wood-done',
  'batten-skipped',
  'batten-cross',
  'batten-foot',
  'batten-mark',
  'batten-mark-done',
  'batten-side',
  'batten-notch',
];

/** What holds it or what is ready, lettered on the drawing beside the mark it is about. */
function Remark({ pole, levels, scale }: BattenProps) {
  const at = pole.marks.find(({ stage }) => stage === pole.next);
  if (at === undefined || at.status === 'open' || pole.sentence === undefined) return null;
  const index = levels.findIndex(({ stage }) => stage === at.stage);
  // Grows toward the larger part of the pole, in whole lines of it.
  const up = index < levels.length / 2;
  const room = (up ? levels.length - index : index + 1) * scale.rise;
  const lines = Math.max(2, Math.floor(room / 16));
  const place = up
    ? { bottom: `${index * scale.rise + 4}px` }
    : { top: `${(levels.length - 1 - index) * scale.rise + 10}px` };
  return (
    <span
      class={`post-remark remark-${at.status}`}
      style={{ ...place, '--lines': String(lines) }}
      aria-hidden="true"
    >
      <Words>{pole.sentence}</Words>
    </span>
  );
}
