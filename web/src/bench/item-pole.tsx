import type { StageName, StageView } from '../api/views.ts';
import { t } from '../words/words.ts';

/**
 * The item's pole, standing on the floor of the screen within the thumb's sweep: the stages are
 * written along it as on a real one, and each length of it opens its stage.
 */
export function ItemPole(props: {
  stages: readonly StageView[];
  open: StageName;
  onOpen: (stage: StageName) => void;
}) {
  return (
    <nav class="side-pole" aria-label={t('pole.label')}>
      <ol class="side-pole-stages">
        {props.stages.map(({ stage, status }) => (
          <li key={stage} class={`side-stage side-${status}`}>
            <button
              type="button"
              class="side-stage-touch"
              aria-label={`${t(`stage.${stage}`)}: ${t(`state.${status}`)}`}
              {...(stage === props.open ? { 'aria-current': 'step' as const } : {})}
              onClick={() => props.onOpen(stage)}
            >
              <span class="side-stage-fill" aria-hidden="true" />
              <span class="side-stage-name" aria-hidden="true">
                {t(`stage.${stage}`)}
              </span>
              {status === 'held' && (
                <svg class="side-stage-notch" viewBox="0 0 14 28" aria-hidden="true">
                  <path d="M14 0L0 14L14 28Z" />
                </svg>
              )}
              {status === 'redone' && (
                <svg class="side-stage-cross" viewBox="0 0 40 20" aria-hidden="true">
                  <path d="M2 2L38 18M2 18L38 2" />
                </svg>
              )}
            </button>
          </li>
        ))}
      </ol>
    </nav>
  );
}
