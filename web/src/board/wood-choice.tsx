import { Choice } from '../parts/choice.tsx';
import { common } from '../rulebook/common.ts';
import { t } from '../words/words.ts';

export interface Wood {
  readonly material?: 'wood' | 'mdf' | undefined;
  readonly species?: string | undefined;
  readonly grain?: 'flat_sawn' | 'quarter_sawn' | undefined;
}

/** What stock is made of; of wood also which, and how it was sawn: it decides how far a joint moves. */
export function WoodChoice(props: {
  readonly label: string;
  readonly wood: Wood;
  readonly onChoose: (wood: Wood) => void;
}) {
  const { material, species, grain } = props.wood;
  const pick = (value: string | undefined, label: string) => (
    <button
      key={value ?? ''}
      type="button"
      class="pick"
      aria-pressed={species === value}
      onClick={() =>
        props.onChoose({ material, species: value, grain: value === undefined ? undefined : grain })
      }
    >
      {label}
    </button>
  );
  return (
    <>
      <Choice
        label={props.label}
        labelShown
        value={material ?? null}
        options={(['wood', 'mdf'] as const).map((value) => ({
          value,
          label: t(`run.material.${value}`),
        }))}
        onChoose={(value) =>
          // What moves is the wood: a board has neither species nor grain.
          props.onChoose(
            value === 'mdf'
              ? { material: value, species: undefined, grain: undefined }
              : { material: value, species, grain },
          )
        }
      />
      {material === 'wood' && (
        <fieldset class="picks">
          <legend class="picks-label">{t('wood.species')}</legend>
          <div class="picks-row">
            {pick(undefined, t('walls.unsaid'))}
            {common.woods.map((key) => pick(key, t(`wood.${key}` as 'wood.red_oak')))}
          </div>
        </fieldset>
      )}
      {material === 'wood' && species !== undefined && (
        <Choice
          label={t('wood.grain')}
          labelShown
          value={grain ?? 'flat_sawn'}
          options={(['flat_sawn', 'quarter_sawn'] as const).map((value) => ({
            value,
            label: t(`wood.grain.${value}`),
          }))}
          onChoose={(value) => props.onChoose({ material, species, grain: value })}
        />
      )}
    </>
  );
}
