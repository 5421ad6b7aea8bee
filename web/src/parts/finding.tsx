import { useId, useState } from 'preact/hooks';
import { t } from '../words/words.ts';
import { Words } from './fraction.tsx';
import './finding.css';

export type Severity = 'stop' | 'warn' | 'note';

export interface FindingProps {
  severity: Severity;
  /** What and why, in one sentence. */
  sentence: string;
  /** What to do about it. */
  remedy?: string;
  /** The rule, document or measurement it stands on; one tap away. */
  basis?: string;
}

/** A finding says what, why and what to do. Its weight is a shape and a word before it is a color. */
export function Finding(props: FindingProps) {
  const [open, setOpen] = useState(false);
  const id = useId();
  return (
    <article class={`finding finding-${props.severity}`}>
      <svg class="finding-sign" viewBox="0 0 24 24" aria-hidden="true">
        <path d={signs[props.severity]} />
      </svg>
      <div class="finding-words">
        <p>
          <strong class="finding-severity">{t(`finding.${props.severity}`)}</strong>{' '}
          <Words>{props.sentence}</Words>
        </p>
        {props.remedy !== undefined && (
          <p class="finding-remedy">
            <Words>{props.remedy}</Words>
          </p>
        )}
        {props.basis !== undefined && (
          <>
            <button
              type="button"
              class="finding-why"
              aria-expanded={open}
              aria-controls={id}
              onClick={() => setOpen(!open)}
            >
              {t('finding.why')}
            </button>
            <p id={id} class="finding-basis" hidden={!open}>
              <Words>{props.basis}</Words>
            </p>
          </>
        )}
      </div>
    </article>
  );
}

// Held is the pole's notch, watch an open one, a note a pencil line.
const signs: Readonly<Record<Severity, string>> = {
  stop: 'M24 1L1 12L24 23Z',
  warn: 'M22 3L3 12L22 21Z',
  note: 'M2 12H22',
};
