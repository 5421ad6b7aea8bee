import { signal } from '@preact/signals';
import type { ReadingView } from '../api/views.ts';
import { Choice } from '../parts/choice.tsx';
import { Drawing } from '../parts/drawing.tsx';
import { Words } from '../parts/fraction.tsx';
import { t } from '../words/words.ts';
import { asList, isDrawn } from './as-list.ts';
import type { PanelProps } from './panel.tsx';
import { capital } from './taping.tsx';
import { measureWith, tool } from './tool.ts';
import './measure.css';

// How a person likes to look at readings stays so from item to item.
const asTable = signal(false);

/** The opening itself, its dimensions to touch; or the same readings as a list. */
export function Measure(props: PanelProps & { onTape: (reading: string) => void }) {
  const { view, onTape } = props;
  const drawn = isDrawn(view.drawing);
  return (
    <div class="measure">
      {drawn && !asTable.value ? (
        <div class="measure-drawing">
          <Drawing
            list={asList(view.drawing)}
            onTouch={(key) => {
              if (view.readings.some(({ name }) => name === key)) onTape(key);
            }}
          />
        </div>
      ) : (
        <ul class="readings">
          {view.readings.map((reading) => (
            <li key={reading.name}>
              <button type="button" class="reading" onClick={() => onTape(reading.name)}>
                <span class="reading-name">{capital(reading.label)}</span>
                <ReadingValue reading={reading} />
              </button>
            </li>
          ))}
        </ul>
      )}
      <div class="measure-how">
        {drawn && (
          <Choice
            label={t('measure.look')}
            value={asTable.value ? 'list' : 'drawing'}
            options={[
              { value: 'drawing', label: t('measure.drawing') },
              { value: 'list', label: t('measure.list') },
            ]}
            onChoose={(value) => {
              asTable.value = value === 'list';
            }}
          />
        )}
        <Choice
          label={t('measure.with')}
          value={tool.value}
          options={[
            { value: 'tape', label: t('tool.tape') },
            { value: 'laser', label: t('tool.laser') },
          ]}
          onChoose={measureWith}
        />
      </div>
    </div>
  );
}

function ReadingValue(props: { reading: ReadingView }) {
  const { reading } = props;
  if (reading.state === 'missing') {
    return (
      <span class="reading-missing">
        {reading.required ? t('reading.missing') : t('reading.optional')}
      </span>
    );
  }
  const takes = reading.takes ?? [];
  if (reading.state === 'disagree') {
    return (
      <span class="reading-disagree number">
        <Words>{takes.map(({ text }) => text).join(' · ')}</Words>
        <span class="reading-word">{t('reading.disagree')}</span>
      </span>
    );
  }
  const counted = takes.find(({ counts }) => counts) ?? takes.at(-1);
  const direction =
    !reading.signed || reading.value === undefined || reading.value === 0
      ? ''
      : reading.value > 0
        ? reading.positive
        : reading.negative;
  const text = reading.angle ? counted?.text : (reading.tape?.text ?? counted?.text);
  return (
    <span class="reading-value number">
      <Words>{(text ?? '').replace(/^[-−]/, '')}</Words>
      {direction !== '' && <span class="reading-word">{direction}</span>}
    </span>
  );
}
