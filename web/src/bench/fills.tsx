import { serviceNow } from '../api/clock.ts';
import type { HoleView, ItemView } from '../api/views.ts';
import { act, personName } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Words } from '../parts/fraction.tsx';
import { t } from '../words/words.ts';
import { TurnedBackHere } from './findings.tsx';
import type { PanelProps } from './panel.tsx';
import { capital } from './taping.tsx';
import { type Used, useUsed } from './used.tsx';
import { when } from './when.ts';
import './logged.css';

/** Holes by the nail that left them, and what went in. Every treatment can be tried; the rules answer. */
export function Fills(props: PanelProps) {
  const { view } = props;
  const holes = view.holes ?? [];
  const filler = useUsed(view, 'filler');
  const putty = useUsed(view, 'putty');
  if (holes.length === 0) return <p class="quiet">{t('fills.none')}</p>;
  const stain = view.spec.unit.grade === 'stain';
  return (
    <>
      {stain ? putty.picker : filler.picker}
      <ul class="holes">
        {holes.map((hole) => (
          <Hole
            key={hole.kind}
            view={view}
            hole={hole}
            used={{ filler: filler.used, putty: putty.used, caulk: {}, none: {} }}
          />
        ))}
      </ul>
    </>
  );
}

function Hole(props: {
  view: ItemView;
  hole: HoleView;
  used: Readonly<Record<HoleView['options'][number]['with'], Used | null>>;
}) {
  const { view, hole } = props;
  const { treated } = hole;
  const about = { job: view.job_id, item: view.id };
  const filled = treated?.with === 'filler';
  const sanded = treated?.sanded_at !== undefined;
  // By the service's clock, as the rules that hold the stage: a phone's own may be hours off.
  const wet = hole.sand_at !== undefined && Date.parse(hole.sand_at) > serviceNow().getTime();
  const label = hole.options.find((option) => option.with === treated?.with)?.label ?? '';

  return (
    <li class="hole">
      <h3 class="hole-name">
        <span class="number">{hole.count}</span> {hole.label}
      </h3>
      {treated !== undefined && (
        <p class="hole-state">
          <strong>{capital(label)}</strong>
          {', '}
          {personName(treated.person_id)} {when(treated.at)}
          {filled &&
            `. ${
              sanded
                ? t('fills.sanded', { time: when(treated.sanded_at ?? treated.at) })
                : wet && hole.sand_at !== undefined
                  ? t('fills.dryAt', { time: when(hole.sand_at) })
                  : t('fills.dry')
            }`}
        </p>
      )}
      <TurnedBackHere
        item={view.id}
        claims={(command) => {
          const body = command['treat_holes'] ?? command['sand'];
          return typeof body === 'object' && body !== null && 'kind' in body
            ? body.kind === hole.kind
            : false;
        }}
      />
      {filled && !sanded && (
        <Button
          kind={wet ? 'line' : 'main'}
          wide
          onPress={() =>
            void act(
              'sand',
              about,
              { kind: hole.kind },
              {
                said: t('said.sand', { item: view.name, holes: hole.label }),
              },
            )
          }
        >
          {t('fills.sand')}
        </Button>
      )}
      <fieldset class="treatments">
        <legend>{treated === undefined ? t('fills.with') : t('fills.instead')}</legend>
        {hole.options.map((option) => (
          <Button
            key={option.with}
            pressed={treated?.with === option.with}
            disabled={props.used[option.with] === null}
            class={option.allowed ? '' : 'treatment-refused'}
            name={option.allowed ? option.label : t('fills.notAllowed', { with: option.label })}
            onPress={() =>
              void act(
                'treat_holes',
                about,
                { kind: hole.kind, with: option.with, ...props.used[option.with] },
                {
                  said: t('said.treat', {
                    item: view.name,
                    holes: hole.label,
                    with: option.label,
                  }),
                },
              )
            }
          >
            <Words>{capital(option.label)}</Words>
          </Button>
        ))}
      </fieldset>
    </li>
  );
}
