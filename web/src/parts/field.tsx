import { useId } from 'preact/hooks';
import { t } from '../words/words.ts';
import { Words } from './fraction.tsx';
import './field.css';

export interface FieldProps {
  label: string;
  value: string;
  onInput: (value: string) => void;
  hint?: string;
  /** Why it was not accepted and what to write instead. */
  refused?: string;
  type?: 'text' | 'email' | 'password' | 'tel' | 'search';
  autocomplete?: 'username' | 'current-password' | 'new-password' | 'email' | 'name' | 'off';
  required?: boolean;
  /** More than one line. */
  tall?: boolean;
  onEnter?: () => void;
}

/** A line to write on, with its name above it. */
export function Field(props: FieldProps) {
  const id = useId();
  const described = [
    props.hint === undefined ? '' : `${id}-hint`,
    props.refused === undefined ? '' : `${id}-refused`,
  ]
    .filter(Boolean)
    .join(' ');
  const same = {
    id,
    class: 'field-line',
    value: props.value,
    required: props.required ?? false,
    'aria-invalid': props.refused !== undefined,
    ...(described === '' ? {} : { 'aria-describedby': described }),
    ...(props.autocomplete === undefined ? {} : { autocomplete: props.autocomplete }),
  };
  return (
    <div class={props.refused === undefined ? 'field' : 'field field-refused'}>
      <label class="field-label" for={id}>
        {props.label}
      </label>
      {props.tall ? (
        <textarea
          {...same}
          rows={3}
          onInput={(event) => props.onInput(event.currentTarget.value)}
        />
      ) : (
        <input
          {...same}
          type={(props.type ?? 'text') as 'text'}
          onInput={(event) => props.onInput(event.currentTarget.value)}
          onKeyDown={(event) => {
            if (event.key === 'Enter') props.onEnter?.();
          }}
        />
      )}
      {props.hint !== undefined && (
        <p class="field-hint" id={`${id}-hint`}>
          <Words>{props.hint}</Words>
        </p>
      )}
      {props.refused !== undefined && (
        <p class="field-reason" id={`${id}-refused`}>
          <svg class="field-notch" viewBox="0 0 12 12" aria-hidden="true">
            <path d="M12 0L0 6L12 12Z" />
          </svg>
          <span class="unseen">{t('field.refused')} </span>
          <Words>{props.refused}</Words>
        </p>
      )}
    </div>
  );
}
