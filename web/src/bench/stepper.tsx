import { Button } from '../parts/button.tsx';
import { t } from '../words/words.ts';

export interface StepperProps {
  label: string;
  value: number;
  least: number;
  most: number;
  /** A second, larger step for counts of nails. */
  by?: number;
  onChange: (value: number) => void;
}

/** A count that a thumb makes: one at a time, or a handful. */
export function Stepper(props: StepperProps) {
  const { value, least, most, by } = props;
  const to = (next: number) => props.onChange(Math.min(Math.max(next, least), most));
  const step = (change: number) => (
    <Button
      disabled={value + Math.sign(change) < least || value + Math.sign(change) > most}
      name={`${change > 0 ? '+' : '−'}${Math.abs(change)}, ${props.label}`}
      onPress={() => to(value + change)}
    >
      {change > 0 ? '+' : '−'}
      {Math.abs(change)}
    </Button>
  );
  return (
    <div class="stepper" role="group" aria-label={props.label}>
      <span class="stepper-label">{props.label}</span>
      <div class="stepper-row">
        {by !== undefined && step(-by)}
        {step(-1)}
        <output class="stepper-value number" aria-label={t('stepper.value', { value })}>
          {value}
        </output>
        {step(1)}
        {by !== undefined && step(by)}
      </div>
    </div>
  );
}
