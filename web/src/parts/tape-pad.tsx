import type { Unit } from '../rulebook/rulebook.ts';
import { t } from '../words/words.ts';
import { Words } from './fraction.tsx';
import type { Shade } from './tape-reading.ts';

export interface TapePadProps {
  unit: Unit;
  fine: boolean;
  shade: Shade;
  hasNext: boolean;
  onDigit: (digit: string) => void;
  onTakeBack: () => void;
  onShade: (shade: 1 | -1) => void;
  onNudge: (by: 1 | -1) => void;
  onFine: () => void;
  onKeep: () => void;
  onNext: () => void;
}

/** Everything under the strip: either side of the tick, the whole units, and Keep. */
export function TapePad(props: TapePadProps) {
  const inches = props.unit === 'in';
  const down = t(inches ? (props.fine ? 'tape.down32' : 'tape.down16') : downMm(props.fine));
  const up = t(inches ? (props.fine ? 'tape.up32' : 'tape.up16') : upMm(props.fine));
  return (
    <>
      <div class="tape-sides">
        {inches && (
          <button
            type="button"
            class="side"
            aria-pressed={props.shade === -1}
            onClick={() => props.onShade(-1)}
          >
            {t('tape.light')}
          </button>
        )}
        <button type="button" class="side" onClick={() => props.onNudge(-1)}>
          <Words>{down}</Words>
        </button>
        <button
          type="button"
          class="side side-fine"
          aria-pressed={props.fine}
          onClick={props.onFine}
        >
          <FineTicks />
          <span>
            <Words>{t(inches ? 'tape.fine32' : 'tape.fineHalf')}</Words>
          </span>
          <span class="unseen">{t(inches ? 'tape.fine32.name' : 'tape.fineHalf.name')}</span>
        </button>
        <button type="button" class="side" onClick={() => props.onNudge(1)}>
          <Words>{up}</Words>
        </button>
        {inches && (
          <button
            type="button"
            class="side"
            aria-pressed={props.shade === 1}
            onClick={() => props.onShade(1)}
          >
            {t('tape.heavy')}
          </button>
        )}
      </div>
      <fieldset class="tape-pad">
        <legend class="unseen">{t(inches ? 'tape.pad' : 'tape.padMm')}</legend>
        <span class="pad-rules" aria-hidden="true" />
        {['1', '2', '3', '4', '5', '6', '7', '8', '9', '0'].map((digit) => (
          <button
            key={digit}
            type="button"
            class={`key key-${digit}`}
            onClick={() => props.onDigit(digit)}
          >
            {digit}
          </button>
        ))}
        <button
          type="button"
          class="key key-back"
          aria-label={t('tape.backspace')}
          onClick={props.onTakeBack}
        >
          <svg viewBox="0 0 28 20" class="key-drawing" aria-hidden="true">
            <path d="M9 2H26V18H9L2 10Z" />
            <path d="M14 7L20 13M20 7L14 13" />
          </svg>
        </button>
        <button
          type="button"
          class={props.hasNext ? 'key key-keep' : 'key key-keep key-keep-only'}
          onClick={props.onKeep}
        >
          {t('tape.keep')}
        </button>
        {props.hasNext && (
          <button type="button" class="key key-next" onClick={props.onNext}>
            <svg viewBox="0 0 32 32" class="key-drawing" aria-hidden="true">
              <path d="M4 17L12 25L28 6" />
            </svg>
            {t('tape.next')}
          </button>
        )}
      </fieldset>
    </>
  );
}

const downMm = (fine: boolean) => (fine ? 'tape.downHalf' : 'tape.downMm');
const upMm = (fine: boolean) => (fine ? 'tape.upHalf' : 'tape.upMm');

function FineTicks() {
  return (
    <svg viewBox="0 0 28 10" class="side-drawing" aria-hidden="true">
      <path d="M2 0V10M8 0V5M14 0V8M20 0V5M26 0V10" />
    </svg>
  );
}
