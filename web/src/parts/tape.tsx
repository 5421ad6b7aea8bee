import { useEffect, useId, useRef, useState } from 'preact/hooks';
import type { Parsed, Unit } from '../rulebook/rulebook.ts';
import { t } from '../words/words.ts';
import { Button } from './button.tsx';
import { Choice } from './choice.tsx';
import { Words } from './fraction.tsx';
import { TapePad } from './tape-pad.tsx';
import {
  blank,
  feetText,
  lengthOf,
  markText,
  nudge,
  pressDigit,
  type Reading,
  readingOf,
  scales,
  shadeTo,
  spanStart,
  takeBack,
  touchMark,
} from './tape-reading.ts';
import { stripStep, TapeStrip } from './tape-strip.tsx';
import { type Typing, useTyping } from './tape-typing.ts';
import './tape-strip.css';
import './tape.css';

export interface TapeProps {
  /** The reading's name: "Height, hinge side". */
  label: string;
  /** How to take it, one sentence. */
  hint?: string;
  unit: Unit;
  initial: number | null;
  /** How the rule book prints `initial`, needed where it may lie between two marks. */
  initialText?: string;
  /** A lean: two directions instead of a sign. The words say where the top goes. */
  signed?: { plus: string; minus: string };
  /** The rule book's reader for typed, dictated and laser lengths. */
  parse: (text: string) => Promise<Parsed>;
  onKeep: (nm: number) => void;
  /** Called after onKeep when the person wants the next reading. Without it there is only Keep. */
  onNext?: () => void;
  /** The reading kept just before this one, read back once more with a way to change it. */
  kept?: { label: string; text: string; onChange: () => void };
}

// A reading kept with Enter means a keyboard, a laser or dictation: the next tape opens ready to type.
let typedLast = false;

/** One reading. Give it a `key` of the reading's name, so the next reading starts clean. */
export function Tape(props: TapeProps) {
  const { unit, signed } = props;
  const [reading, setReading] = useState<Reading>(() =>
    props.initial === null ? blank : readingOf(props.initial, unit, props.initialText),
  );
  const [direction, setDirection] = useState<'plus' | 'minus' | null>(() =>
    props.initial === null || props.initial === 0 ? null : props.initial > 0 ? 'plus' : 'minus',
  );
  const [fine, setFine] = useState(false);
  const [sentence, setSentence] = useState<string | null>(null);
  const root = useRef<HTMLElement>(null);
  const field = useRef<HTMLInputElement>(null);
  const id = useId();

  const step = stripStep(unit, fine);
  const length = lengthOf(reading, unit);

  const readingFrom = (typed: Typing): Reading =>
    typed.kind === 'read' ? { ...readingOf(typed.nm, unit, typed.text), untouched: false } : blank;

  const typing = useTyping(props.parse, (typed) => setReading(readingFrom(typed)));

  const change = (next: Reading) => {
    setSentence(next === reading && !reading.untouched ? t('tape.tooLong') : null);
    if (typing.text !== '') typing.clear();
    setReading(next);
  };

  const keep = async (thenNext: boolean, byEnter: boolean) => {
    let nm = length;
    if (typing.text.trim() !== '') {
      const typed = await typing.settle();
      if (typed.kind !== 'read') {
        field.current?.focus();
        return;
      }
      nm = lengthOf(readingFrom(typed), unit);
      await painted(); // what was understood is on the screen before it is kept
    }
    if (nm === null) {
      setSentence(t('tape.nothing'));
      return;
    }
    if (signed !== undefined && nm !== 0 && direction === null) {
      setSentence(t('tape.which'));
      return;
    }
    typedLast = byEnter;
    props.onKeep(direction === 'minus' && nm !== 0 ? -nm : nm);
    if (thenNext) props.onNext?.();
  };
  const enter = () => void keep(props.onNext !== undefined, true);

  useEffect(() => {
    if (typedLast) field.current?.focus({ preventScroll: true });
    // A laser in keyboard mode types wherever the page's focus happens to be.
    const stray = (event: KeyboardEvent) => {
      const from = event.target;
      const tape = root.current;
      // On the page's body, on the sheet the tape lies in, or on the tape.
      const ours =
        tape !== null && from instanceof Node && (from.contains(tape) || tape.contains(from));
      if (!ours || event.ctrlKey || event.metaKey || event.altKey) return;
      if (from instanceof HTMLInputElement && from.type === 'text') return;
      if (/^[\d.'"/]$/.test(event.key)) field.current?.focus({ preventScroll: true });
    };
    document.addEventListener('keydown', stray);
    return () => document.removeEventListener('keydown', stray);
  }, []);

  const text = markText(reading, unit);
  const shadeWord =
    reading.shade === 0 ? '' : t(reading.shade > 0 ? 'length.heavy' : 'length.light');
  const feet = feetText(reading, unit);
  const spoken =
    length === null
      ? t('tape.blank')
      : `${t(unit === 'in' ? 'length.inches' : 'length.mm', { text })} ${shadeWord}`.trim();
  const complaint = sentence ?? complaintOf(typing.typing);

  return (
    <section ref={root} class="tape" aria-labelledby={`${id}-label`} data-unit={unit}>
      {props.kept !== undefined && (
        <p class="tape-kept">
          <span>
            {t('tape.kept')}: {props.kept.label} <Words>{props.kept.text}</Words>
          </span>
          <Button kind="quiet" onPress={props.kept.onChange}>
            {t('action.change')}
          </Button>
        </p>
      )}
      <header class="tape-head">
        <h2 id={`${id}-label`}>{props.label}</h2>
        {props.hint !== undefined && (
          <p class="tape-hint" id={`${id}-hint`}>
            <Words>{props.hint}</Words>
          </p>
        )}
      </header>
      <div class="tape-read">
        <output class="tape-value number" aria-live="polite">
          {length === null ? (
            <span class="tape-blank" role="img" aria-label={t('tape.blank')} />
          ) : (
            <>
              <span class="tape-figures">
                <Words>{text}</Words>
                {unit === 'mm' && <span class="tape-mm">mm</span>}
              </span>
              {shadeWord !== '' && <span class="tape-shade">{shadeWord}</span>}
            </>
          )}
        </output>
        {feet !== null && (
          <span class="tape-feet number">
            = <Words>{feet}</Words>
          </span>
        )}
        <label class="tape-field">
          <span class="tape-field-label">{t('tape.type')}</span>
          <input
            ref={field}
            type="text"
            inputMode="text"
            autocomplete="off"
            spellcheck={false}
            enterKeyHint={props.onNext === undefined ? 'done' : 'next'}
            value={typing.text}
            aria-describedby={`${id}-complaint`}
            aria-invalid={typing.typing.kind === 'refused'}
            onInput={(event) => {
              setSentence(null);
              typing.type(event.currentTarget.value);
            }}
            onKeyDown={(event) => {
              if (event.key !== 'Enter') return;
              event.preventDefault();
              enter();
            }}
          />
        </label>
      </div>
      <p class="tape-complaint" id={`${id}-complaint`} role="status">
        {complaint !== null && <Words>{complaint}</Words>}
      </p>
      {signed !== undefined && (
        <Choice
          label={t('tape.lean')}
          value={direction}
          options={[
            { value: 'minus', label: signed.minus },
            { value: 'plus', label: signed.plus },
          ]}
          onChoose={(value) => {
            setSentence(null);
            setDirection(value);
          }}
        />
      )}
      <TapeStrip
        unit={unit}
        start={spanStart(reading, unit)}
        length={length}
        fine={fine}
        spoken={spoken}
        onMark={(nm) => change(touchMark(nm, unit))}
        onNudge={(by) => change(nudge(reading, by, step, unit))}
        onWhole={(by) => change(touchMark((length ?? 0) + by * scales[unit].whole, unit))}
        onFine={() => setFine(true)}
        onEnter={enter}
      />
      <TapePad
        unit={unit}
        fine={fine}
        shade={reading.shade}
        hasNext={props.onNext !== undefined}
        onDigit={(digit) => change(pressDigit(reading, digit, unit))}
        onTakeBack={() => change(takeBack(reading))}
        onShade={(shade) => change(shadeTo(reading, shade, unit))}
        onNudge={(by) => change(nudge(reading, by, step, unit))}
        onFine={() => setFine(!fine)}
        onKeep={() => void keep(false, false)}
        onNext={() => void keep(true, false)}
      />
    </section>
  );
}

function complaintOf(typing: Typing): string | null {
  switch (typing.kind) {
    case 'refused':
      return typing.sentence;
    case 'failed':
      return t('tape.noRuleBook');
    case 'reading':
      return t('tape.readBusy');
    default:
      return null;
  }
}

function painted(): Promise<void> {
  return new Promise((resolve) => {
    requestAnimationFrame(() => requestAnimationFrame(() => resolve()));
  });
}
