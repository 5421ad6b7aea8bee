import { useId } from 'preact/hooks';
import { Words } from './fraction.tsx';
import './choice.css';

export interface ChoiceOption<V extends string> {
  value: V;
  label: string;
}

export interface ChoiceProps<V extends string> {
  label: string;
  /** Shows the label above; otherwise only screen readers have it. */
  labelShown?: boolean;
  value: V | null;
  options: readonly ChoiceOption<V>[];
  onChoose: (value: V) => void;
}

/** One of a few, side by side: a batten divided by marks, the chosen length chalked. */
export function Choice<V extends string>(props: ChoiceProps<V>) {
  const name = useId();
  return (
    <fieldset class="choice">
      <legend class={props.labelShown ? 'choice-label' : 'unseen'}>{props.label}</legend>
      <div class="choice-row">
        {props.options.map((option) => (
          <label key={option.value} class="choice-option">
            <input
              class="choice-input"
              type="radio"
              name={name}
              value={option.value}
              checked={props.value === option.value}
              onChange={() => props.onChoose(option.value)}
            />
            <span class="choice-face">
              <Words>{option.label}</Words>
            </span>
          </label>
        ))}
      </div>
    </fieldset>
  );
}
