import { useEffect } from 'preact/hooks';
import { t } from '../words/words.ts';
import { pinDigits } from './try-pin.ts';
import './lock.css';

/** Four marks and ten keys, in the thumb's reach. A keyboard's digits work too. */
export function PinPad(props: {
  value: string;
  onChange: (value: string) => void;
  label: string;
  disabled?: boolean;
}) {
  const { value, onChange, disabled = false } = props;
  const press = (digit: string) => {
    if (!disabled && value.length < pinDigits) onChange(value + digit);
  };
  const takeBack = () => {
    if (!disabled) onChange(value.slice(0, -1));
  };
  useEffect(() => {
    const typed = (event: KeyboardEvent) => {
      if (event.target instanceof HTMLInputElement || event.ctrlKey || event.metaKey) return;
      if (/^\d$/.test(event.key)) press(event.key);
      else if (event.key === 'Backspace') takeBack();
      // A tape or a board that stands behind the lock listens to keys as well.
      event.stopPropagation();
    };
    addEventListener('keydown', typed, { capture: true });
    return () => removeEventListener('keydown', typed, { capture: true });
  });
  return (
    <fieldset class="pin">
      <legend class="unseen">{props.label}</legend>
      <p class="pin-marks" role="status">
        <span class="unseen">{t('pin.entered', { count: value.length })}</span>
        {Array.from({ length: pinDigits }, (_, at) => (
          <span
            key={at}
            aria-hidden="true"
            class={at < value.length ? 'pin-mark pin-set' : 'pin-mark'}
          />
        ))}
      </p>
      <div class="pin-keys">
        {['1', '2', '3', '4', '5', '6', '7', '8', '9', '', '0'].map((digit) =>
          digit === '' ? (
            <span key="gap" />
          ) : (
            <button
              key={digit}
              type="button"
              class="pin-key number"
              disabled={disabled}
              onClick={() => press(digit)}
            >
              {digit}
            </button>
          ),
        )}
        <button
          type="button"
          class="pin-key"
          aria-label={t('pin.takeBack')}
          disabled={disabled || value === ''}
          onClick={takeBack}
        >
          <svg viewBox="0 0 24 24" aria-hidden="true">
            <path d="M9 5H21V19H9L2 12ZM12 9L18 15M18 9L12 15" />
          </svg>
        </button>
      </div>
    </fieldset>
  );
}
