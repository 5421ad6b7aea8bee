import { t } from '../words/words.ts';
import { Words } from './fraction.tsx';
import { type PoleStage, poleName, type StageName } from './stages.ts';
import { Tick } from './tick.tsx';
import './pole.css';

export interface PoleProps {
  stages: readonly PoleStage[];
  /** Large has labels and ticks; medium stands in a board row; tiny stands in a plan. */
  size: 'large' | 'medium' | 'tiny';
  /** What the pole belongs to, said before its state: "Bedroom 2 door". */
  of?: string;
  /** Large only: a tick or a held stage was touched. Without it the pole only shows. */
  onStage?: (name: StageName) => void;
}

/** An item's progress: an upright storey pole, one mark a stage, filled from the floor up. */
export function Pole(props: PoleProps) {
  const said = poleName(props.stages);
  const name = props.of === undefined ? said : `${props.of}. ${said}`;
  if (props.size !== 'large') {
    const { width, rise } = props.size === 'tiny' ? tiny : medium;
    return <PoleFigure stages={props.stages} width={width} rise={rise} name={name} />;
  }
  const { onStage } = props;
  return (
    <section class="pole" aria-label={name}>
      <ol class="pole-rows" aria-label={t('pole.label')}>
        {props.stages.map((stage) => (
          <li key={stage.name} class={`pole-row pole-${stage.state}`}>
            <Batten state={stage.state} />
            <div class="pole-words">
              <span class="pole-stage">{t(`stage.${stage.name}`)}</span>
              <span class="pole-state">{t(`state.${stage.state}`)}</span>
              {stage.note !== undefined && (
                <span class="pole-note">
                  <Words>{stage.note}</Words>
                </span>
              )}
            </div>
            {onStage !== undefined && (
              <Tick stage={stage.name} state={stage.state} onPress={() => onStage(stage.name)} />
            )}
          </li>
        ))}
      </ol>
      <div class="pole-floor" aria-hidden="true" />
    </section>
  );
}

/** One stage's length of the large pole; it stretches with its row, its marks do not. */
function Batten(props: { state: PoleStage['state'] }) {
  return (
    <span class="batten" aria-hidden="true">
      <span class="batten-fill" />
      {props.state === 'held' && (
        <svg class="batten-sign" viewBox="0 0 44 40" aria-hidden="true">
          <path class="sign-notch" d="M43 3L17 20L43 37Z" />
        </svg>
      )}
      {props.state === 'ready' && (
        <svg class="batten-sign" viewBox="0 0 44 40" aria-hidden="true">
          <path class="sign-foot" d="M5 31L14 12L23 31" />
        </svg>
      )}
      {props.state === 'redone' && (
        <svg class="batten-sign" viewBox="0 0 44 40" aria-hidden="true">
          <path class="sign-cross" d="M-3 9L31 31M-3 31L31 9" />
        </svg>
      )}
    </span>
  );
}

interface FigureSize {
  readonly width: number;
  readonly rise: number;
}

const tiny: FigureSize = { width: 9, rise: 6 };
const medium: FigureSize = { width: 16, rise: 13 };

/** How wide and tall a small pole's figure is, with the room its marks need. */
export function figureSize(stages: number, { width, rise }: FigureSize = tiny) {
  const side = Math.round(width * 0.75); // room for notches, and for marks that run past the pole
  return { width: width + 2 * side, height: stages * rise + 6, side };
}

/** The small pole as one figure: readable in grey, at arm's length. */
function PoleFigure(props: FigureSize & { stages: readonly PoleStage[]; name: string }) {
  const { stages, width, rise } = props;
  const box = figureSize(stages.length, props);
  return (
    <svg
      class={`pole-figure ${width < 12 ? 'pole-figure-tiny' : ''}`}
      width={box.width}
      height={box.height}
      viewBox={`0 0 ${box.width} ${box.height}`}
      role="img"
      aria-label={props.name}
    >
      <PoleMarks states={stages.map(({ state }) => state)} width={width} rise={rise} />
    </svg>
  );
}

/**
 * A small pole's marks, to stand in a figure of its own or in a drawing. What looks alike is one path:
 * a room has dozens of marks, and a phone lays out every element.
 */
export function PoleMarks(props: Partial<FigureSize> & { states: readonly PoleStage['state'][] }) {
  const { states, width = tiny.width, rise = tiny.rise } = props;
  const { side } = figureSize(states.length, { width, rise });
  const height = states.length * rise;
  const left = side;
  const right = side + width;
  const foot = height + 2.5;
  const inset = Math.max(rise * 0.12, 0.75);
  const drawn = (
    name: string,
    which: (state: PoleStage['state']) => boolean,
    stroke: (bottom: number, top: number) => string,
  ) => {
    const strokes = states.flatMap((state, index) => {
      const bottom = height + 1 - index * rise;
      return which(state) ? [stroke(bottom, bottom - rise)] : [];
    });
    return strokes.length > 0 && <path class={name} d={strokes.join('')} />;
  };
  return (
    <>
      {drawn('figure-fill', is('done'), (_, top) => `M${left} ${top}h${width}v${rise}h${-width}Z`)}
      {drawn('figure-ready', is('ready'), (bottom) => `M0 ${bottom - 1}H${right + side}`)}
      {drawn(
        'figure-cross',
        is('redone'),
        (bottom, top) =>
          `M${left - 2} ${bottom - inset}L${right + 2} ${top + inset}M${left - 2} ${top + inset}L${right + 2} ${bottom - inset}`,
      )}
      {drawn(
        'figure-mark',
        (state) => state !== 'done',
        (_, top) => `M${left} ${top}H${right}`,
      )}
      {drawn('figure-mark-done', is('done'), (_, top) => `M${left} ${top}H${right}`)}
      {drawn('figure-notch', is('held'), (_, top) => {
        const middle = top + rise / 2;
        return `M${right + side} ${middle - rise * 0.62}L${left + width * 0.3} ${middle}L${right + side} ${middle + rise * 0.62}Z`;
      })}
      <path class="figure-side" d={`M${left} 1V${foot}M${right} 1V${foot}`} />
      <path class="figure-floor" d={`M0 ${foot}H${right + side}`} />
    </>
  );
}

function is(wanted: PoleStage['state']) {
  return (state: PoleStage['state']) => state === wanted;
}
