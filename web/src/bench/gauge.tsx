import { useState } from 'preact/hooks';
import { Button } from '../parts/button.tsx';
import { t } from '../words/words.ts';

/** Thousandths of a degree: what an angle reading is kept in. */
const degree = 1000;
const square = 90 * degree;
const most = 180 * degree;

/** A corner read with an angle gauge: square with one tap, else degrees as the gauge shows them. */
export function Gauge(props: {
  label: string;
  initial: number | null;
  onKeep: (thousandths: number) => void;
}) {
  const [typed, setTyped] = useState('');
  const [value, setValue] = useState<number | null>(props.initial);
  const [nudged, setNudged] = useState(false);

  const press = (key: string) => {
    const text = (typed + key).replace(/^0(?=\d)/, '');
    if (!/^\d{1,3}(\.\d{0,2})?$/.test(text) || Number(text) * degree > most) return;
    setTyped(text);
    setNudged(false);
    setValue(Math.round(Number(text) * degree));
  };
  const back = () => {
    const text = typed.slice(0, -1);
    setTyped(text);
    setValue(text === '' ? null : Math.round(Number(text) * degree));
  };
  const nudge = (by: number) => {
    setTyped('');
    setNudged(true);
    setValue(Math.min(Math.max((value ?? square) + by, 0), most));
  };

  return (
    <section class="gauge" aria-label={props.label}>
      <header class="gauge-head">
        <h2>{props.label}</h2>
        <p class="quiet">{t('gauge.hint')}</p>
      </header>
      <output class="gauge-value number" aria-live="polite">
        {value === null ? (
          <span class="gauge-blank">{t('tape.blank')}</span>
        ) : (
          `${typed !== '' && !nudged ? typed : value / degree}°`
        )}
      </output>
      <div class="gauge-row">
        <Button onPress={() => nudge(-100)}>{t('gauge.down')}</Button>
        <Button
          onPress={() => {
            setTyped('');
            setValue(square);
          }}
        >
          {t('gauge.square')}
        </Button>
        <Button onPress={() => nudge(100)}>{t('gauge.up')}</Button>
      </div>
      <div class="gauge-pad">
        {['1', '2', '3', '4', '5', '6', '7', '8', '9', '.', '0'].map((key) => (
          <button key={key} type="button" class="gauge-key number" onClick={() => press(key)}>
            {key}
          </button>
        ))}
        <button type="button" class="gauge-key" aria-label={t('tape.backspace')} onClick={back}>
          ←
        </button>
      </div>
      <Button
        kind="main"
        wide
        disabled={value === null}
        onPress={() => {
          if (value !== null) props.onKeep(value);
        }}
      >
        {t('tape.keep')}
      </Button>
    </section>
  );
}
