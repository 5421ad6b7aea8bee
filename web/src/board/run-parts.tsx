import type { RunCornerView } from '../api/views.ts';
import { CornerSection } from '../bench/run-pieces.tsx';
import { Choice } from '../parts/choice.tsx';
import { t } from '../words/words.ts';
import { LengthChoice } from './length-choice.tsx';
import { nominal } from './opening-spec.ts';
import {
  changeCorners,
  changeProfile,
  changeRun,
  choiceAt,
  chooseAt,
  clean,
  goesAlong,
  pointAt,
  type RunDraft,
} from './run-spec.ts';
import { WoodChoice } from './wood-choice.tsx';

interface PartProps {
  readonly draft: RunDraft;
  readonly onChange: (draft: RunDraft) => void;
}

/** Which of the room's walls the run goes along: all round, or those pointed at. */
export function RunWalls({ draft, onChange, walls }: PartProps & { readonly walls: number }) {
  const along = draft.spec.run?.along ?? [];
  return (
    <fieldset class="picks">
      <legend class="picks-label">{t('run.along')}</legend>
      <div class="picks-row">
        <button
          type="button"
          class="pick"
          aria-pressed={along.length === 0}
          onClick={() => onChange(goesAlong(draft, []))}
        >
          {t('run.along.all')}
        </button>
        {Array.from({ length: walls }, (_, at) => at + 1).map((wall) => (
          <button
            key={wall}
            type="button"
            class="pick"
            aria-label={t('walls.wall', { wall })}
            aria-pressed={along.includes(wall)}
            onClick={() => onChange(pointAt(draft, wall, walls))}
          >
            {wall}
          </button>
        ))}
      </div>
    </fieldset>
  );
}

/** What the stock is: sizes, spring, wood, how it is finished. */
export function RunStock({
  draft,
  onChange,
  unit,
  stick,
}: PartProps & {
  readonly unit: 'in' | 'mm';
  /** Where the longest stick comes from, when nobody has said it. */
  readonly stick: string | undefined;
}) {
  const { run } = draft.spec;
  if (run === undefined) return null;
  const { profile } = run;
  const crown = profile.kind === 'crown';
  const size = (
    field: 'height' | 'thickness' | 'stock_length' | 'stands_off' | 'mount',
    none?: string,
  ) => (
    <LengthChoice
      label={t(`run.${field}.${crown ? 'crown' : 'flat'}`)}
      unit={unit}
      value={profile[field] === 0 ? undefined : profile[field]}
      sizes={[]}
      {...(none === undefined ? {} : { none })}
      onChoose={(nm) => onChange(changeProfile(draft, { [field]: nm ?? 0 }))}
    />
  );
  return (
    <>
      <div class="run-sizes">
        {size('height')}
        {size('thickness')}
        {size('stock_length', t('run.anyLength'))}
        {profile.kind === 'shoe' && size('stands_off', t('run.nothingBehind'))}
        {profile.kind === 'chair_rail' && size('mount', t('walls.unsaid'))}
      </div>
      {stick !== undefined && <p class="picks-hint">{stick}</p>}
      {crown && (
        <>
          <Choice
            label={t('run.spring')}
            labelShown
            value={String(profile.spring ?? '')}
            options={['38000', '45000', '52000'].map((value) => ({
              value,
              label: `${Number(value) / 1000}°`,
            }))}
            onChoose={(value) => onChange(changeProfile(draft, { spring: Number(value) }))}
          />
          <Choice
            label={t('run.position')}
            labelShown
            value={profile.position ?? 'flat'}
            options={(['flat', 'nested'] as const).map((value) => ({
              value,
              label: t(`run.position.${value}`),
            }))}
            onChoose={(position) => onChange(changeProfile(draft, { position }))}
          />
        </>
      )}
      <WoodChoice
        label={t('run.material')}
        wood={{ ...run, material: run.material ?? 'wood' }}
        onChoose={({ material, species, grain }) =>
          onChange(
            changeRun(draft, (was) => clean({ ...was, material, species, grain }) as typeof was),
          )
        }
      />
      <Choice
        label={t('run.grade')}
        labelShown
        value={draft.spec.unit.grade}
        options={(['paint', 'stain'] as const).map((value) => ({
          value,
          label: t(`run.grade.${value}`),
        }))}
        onChoose={(grade) =>
          onChange({ ...draft, spec: { ...draft.spec, unit: { ...draft.spec.unit, grade } } })
        }
      />
      <LengthChoice
        label={t('run.wallLayers')}
        unit={unit}
        value={run.wall_layers === 0 ? undefined : run.wall_layers}
        sizes={nominal[unit].board}
        none={t('walls.unsaid')}
        onChoose={(nm) => onChange(changeRun(draft, (was) => ({ ...was, wall_layers: nm ?? 0 })))}
      />
    </>
  );
}

/** How the run turns its corners, joins its sticks and ends. */
export function RunJoints({ draft, onChange }: PartProps) {
  const { run } = draft.spec;
  if (run === undefined) return null;
  const { corners, profile } = run;
  return (
    <>
      <Choice
        label={t('run.inside')}
        labelShown
        value={corners.inside ?? 'auto'}
        options={(['auto', 'cope', 'miter', 'butt'] as const).map((value) => ({
          value,
          label: t(`run.inside.${value}`),
        }))}
        onChoose={(value) =>
          onChange(changeCorners(draft, { inside: value === 'auto' ? undefined : value }))
        }
      />
      <fieldset class="picks">
        <legend class="picks-label">{t('run.first')}</legend>
        <div class="picks-row">
          {(['away_from_door', 'long_walls_first', 'left_first', 'right_first'] as const).map(
            (value) => (
              <button
                key={value}
                type="button"
                class="pick"
                aria-pressed={(corners.first ?? 'away_from_door') === value}
                onClick={() => onChange(changeCorners(draft, { first: value }))}
              >
                {t(`run.first.${value}`)}
              </button>
            ),
          )}
        </div>
        <p class="picks-hint">{t('run.corner.hint')}</p>
      </fieldset>
      <Choice
        label={t('run.scarf')}
        labelShown
        value={String(corners.scarf_angle ?? 30_000)}
        options={['30000', '45000'].map((value) => ({
          value,
          label: `${Number(value) / 1000}°`,
        }))}
        onChoose={(value) =>
          onChange(changeCorners(draft, { scarf_angle: value === '45000' ? 45_000 : undefined }))
        }
      />
      <Choice
        label={t('run.freeEnd')}
        labelShown
        value={corners.free_end ?? 'auto'}
        options={(['auto', 'return', 'square'] as const).map((value) => ({
          value,
          label: t(`run.freeEnd.${value}`),
        }))}
        onChoose={(value) =>
          onChange(changeCorners(draft, { free_end: value === 'auto' ? undefined : value }))
        }
      />
      {profile.kind !== 'crown' && (
        <Choice
          label={t('run.registers')}
          labelShown
          value={run.registers ?? null}
          options={(['cut_round', 'run_over'] as const).map((value) => ({
            value,
            label: t(`run.registers.${value}`),
          }))}
          onChoose={(registers) => onChange(changeRun(draft, (was) => ({ ...was, registers })))}
        />
      )}
    </>
  );
}

/** One corner: its section, and where two pieces meet inside it how, and which of two unlike ends runs in. */
export function CornerJoint({ draft, onChange, corner }: PartProps & { corner: RunCornerView }) {
  const { inside, first } = choiceAt(draft, corner.after);
  return (
    <div class="corner-asked fits">
      <CornerSection corner={corner} />
      {corner.inside === true && (
        <>
          <Choice
            label={t('run.corner.how')}
            labelShown
            value={inside ?? 'auto'}
            options={(['auto', 'cope', 'miter', 'butt'] as const).map((value) => ({
              value,
              label: value === 'auto' ? t('run.corner.asRun') : t(`run.inside.${value}`),
            }))}
            onChoose={(value) =>
              onChange(
                chooseAt(draft, corner.after, { inside: value === 'auto' ? undefined : value }),
              )
            }
          />
          {corner.left !== corner.right && (
            <Choice
              label={t('run.corner.first')}
              labelShown
              value={first ?? 'auto'}
              options={(['auto', 'left', 'right'] as const).map((value) => ({
                value,
                label: value === 'auto' ? t('run.corner.asRun') : t(`run.corner.${value}`),
              }))}
              onChoose={(value) =>
                onChange(
                  chooseAt(draft, corner.after, { first: value === 'auto' ? undefined : value }),
                )
              }
            />
          )}
        </>
      )}
    </div>
  );
}
