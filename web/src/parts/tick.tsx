import { useRef } from 'preact/hooks';
import { t } from '../words/words.ts';
import type { StageName, StageState } from './stages.ts';
import './tick.css';

export interface TickProps {
  stage: StageName;
  state: StageState;
  onPress: () => void;
}

/**
 * The big stage tick. Ready and redone: an open square to tick. Done: the drawn tick, touch to open
 * the stage again. Held: the notch, touch to see why. Open: nothing to do yet, so not a button.
 */
export function Tick(props: TickProps) {
  const stage = t(`stage.${props.stage}`);
  // Only a tick made now is drawn in motion, not the ones a screen opens with.
  const first = useRef(props.state);
  const fresh = first.current !== 'done' && props.state === 'done';
  if (props.state === 'open') {
    return (
      <span class="tick-box tick-open" role="img" aria-label={t('tick.open', { stage })}>
        <TickDrawing state="open" />
      </span>
    );
  }
  return (
    <button
      type="button"
      class={`tick-box tick-${props.state} ${fresh ? 'tick-fresh' : ''}`}
      aria-label={t(`tick.${props.state}`, { stage })}
      onClick={props.onPress}
    >
      <TickDrawing state={props.state} />
    </button>
  );
}

// The square's lines run past its corners, as they do when it is struck with a pencil and a square.
const square = 'M4 10H44M4 38H44M10 4V44M38 4V44';

function TickDrawing(props: { state: StageState }) {
  return (
    <svg class="tick-drawing" viewBox="0 0 48 48" aria-hidden="true">
      {props.state === 'held' ? (
        <>
          <path class="tick-lines" d={square} />
          <path class="tick-notch" d="M44 10L16 24L44 38Z" />
        </>
      ) : (
        <path class="tick-lines" d={square} />
      )}
      {props.state === 'redone' && <path class="tick-crossed" d="M11 23L21 35L43 6M6 12L44 36" />}
      {props.state === 'done' && <path class="tick-stroke" d="M11 23L21 35L43 6" pathLength={1} />}
    </svg>
  );
}
