import { useState } from 'preact/hooks';
import type { PoleView } from '../api/views.ts';
import { print } from '../bench/printed.tsx';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Words } from '../parts/fraction.tsx';
import { t } from '../words/words.ts';
import { LengthChoice } from './length-choice.tsx';
import type { Draft, Feature } from './walls-draft.ts';

const kinds = ['opening', 'window', 'built_in', 'register', 'box'] as const;
type Kind = (typeof kinds)[number];

export interface WallPartsProps {
  readonly draft: Draft;
  /** From 0. */
  readonly wall: number;
  readonly unit: 'in' | 'mm';
  readonly items: readonly PoleView[];
  readonly onChange: (draft: Draft) => void;
}

/** What stands on one wall: doors, windows, built-ins, registers and boxes, from its left end. */
export function WallParts(props: WallPartsProps) {
  const { draft, wall, unit, items, onChange } = props;
  const [adding, setAdding] = useState(false);
  const here = draft.features
    .map((feature, index) => ({ feature, index }))
    .filter(({ feature }) => feature.wall === wall + 1);
  const name = (feature: Feature) =>
    items.find(({ id }) => id === feature.id)?.name ?? t(`walls.kind.${feature.kind}`);
  return (
    <div class="wall-features">
      <h3>{t('walls.on')}</h3>
      {here.length > 0 && (
        <ul>
          {here.map(({ feature, index }) => (
            <li key={index} class="wall-feature">
              <span>{name(feature)}</span>
              <span class="number">
                <Words>
                  {t('walls.at', {
                    offset: print(feature.offset, unit),
                    width: print(feature.width, unit),
                  })}
                </Words>
              </span>
              <Button
                kind="quiet"
                name={t('walls.takeOff.name', { what: name(feature) })}
                onPress={() =>
                  onChange({ ...draft, features: draft.features.filter((_, at) => at !== index) })
                }
              >
                {t('walls.takeOff')}
              </Button>
            </li>
          ))}
        </ul>
      )}
      {adding ? (
        <NewFeature
          {...props}
          onDone={(feature) => {
            setAdding(false);
            if (feature !== null) onChange({ ...draft, features: [...draft.features, feature] });
          }}
        />
      ) : (
        <Button onPress={() => setAdding(true)}>{t('walls.add')}</Button>
      )}
    </div>
  );
}

function NewFeature(props: WallPartsProps & { onDone: (feature: Feature | null) => void }) {
  const { draft, wall, unit, items } = props;
  const [kind, setKind] = useState<Kind>('opening');
  const [id, setId] = useState<string | null>(null);
  const [offset, setOffset] = useState<number | undefined>(undefined);
  const [width, setWidth] = useState<number | undefined>(undefined);
  const [casing, setCasing] = useState<number | undefined>(undefined);
  const [bottom, setBottom] = useState<number | undefined>(undefined);
  const [top, setTop] = useState<number | undefined>(undefined);
  const [main, setMain] = useState(false);
  const placed = new Set(draft.features.map((feature) => feature.id));
  const free = items.filter((item) => !placed.has(item.id) && item.marks.length > 6);
  const through = kind === 'opening' || kind === 'window';
  const ready = offset !== undefined && width !== undefined;
  const done = () => {
    if (offset === undefined || width === undefined) return;
    props.onDone({
      kind,
      wall: wall + 1,
      offset,
      width,
      ...(through && id !== null ? { id } : {}),
      ...(through && casing !== undefined
        ? { casing_left: casing, casing_right: casing, casing_thickness: threeQuarters }
        : {}),
      ...(bottom === undefined ? {} : { bottom }),
      ...(top === undefined ? {} : { top }),
      ...(main && kind === 'opening' ? { main } : {}),
    });
  };
  return (
    <section class="new-feature" aria-label={t('walls.add')}>
      <Choice
        label={t('walls.what')}
        labelShown
        value={kind}
        options={kinds.map((value) => ({ value, label: t(`walls.kind.${value}`) }))}
        onChoose={setKind}
      />
      {through && free.length > 0 && (
        <fieldset class="picks">
          <legend class="picks-label">{t('walls.which')}</legend>
          <div class="picks-row">
            {free.map((item) => (
              <button
                key={item.id}
                type="button"
                class="pick"
                aria-pressed={id === item.id}
                onClick={() => setId(id === item.id ? null : item.id)}
              >
                {item.name}
              </button>
            ))}
          </div>
        </fieldset>
      )}
      <div class="feature-lengths">
        <LengthChoice
          label={t('walls.offset')}
          unit={unit}
          value={offset}
          sizes={[]}
          onChoose={setOffset}
        />
        <LengthChoice
          label={t('walls.width')}
          unit={unit}
          value={width}
          sizes={[]}
          onChoose={setWidth}
        />
        {through && (
          <LengthChoice
            label={t('walls.casing')}
            unit={unit}
            value={casing}
            sizes={[]}
            none={t('walls.noCasing')}
            onChoose={setCasing}
          />
        )}
        {kind !== 'opening' && (
          <>
            <LengthChoice
              label={t('walls.bottom')}
              unit={unit}
              value={bottom}
              sizes={[]}
              none={t('walls.floor')}
              onChoose={setBottom}
            />
            <LengthChoice
              label={t('walls.top')}
              unit={unit}
              value={top}
              sizes={[]}
              none={t('walls.unsaid')}
              onChoose={setTop}
            />
          </>
        )}
      </div>
      {kind === 'opening' && (
        <Choice
          label={t('walls.main')}
          labelShown
          value={main ? 'yes' : 'no'}
          options={[
            { value: 'no', label: t('walls.main.no') },
            { value: 'yes', label: t('walls.main.yes') },
          ]}
          onChoose={(value) => setMain(value === 'yes')}
        />
      )}
      <div class="walls-go">
        <Button kind="main" disabled={!ready} onPress={done}>
          {t('walls.put')}
        </Button>
        <Button onPress={() => props.onDone(null)}>{t('walls.leave')}</Button>
      </div>
    </section>
  );
}

const threeQuarters = 19_050_000;
