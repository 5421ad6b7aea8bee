import { t } from '../words/words.ts';

/** From the floor up. An item has some of these, in this order. */
export const stageOrder = [
  'measured',
  'trimmed',
  'hung',
  'cased',
  'nailed',
  'filled',
  'caulked',
  'painted',
] as const;

export type StageName = (typeof stageOrder)[number];
export type StageState = 'open' | 'ready' | 'held' | 'done' | 'redone';

export interface PoleStage {
  readonly name: StageName;
  readonly state: StageState;
  /** One sentence under the stage's name on a large pole: why it is held, who did it and when. */
  readonly note?: string;
}

// What a glance should land on first.
const urgency: readonly StageState[] = ['held', 'redone', 'ready', 'open'];

/** The stage a glance should land on: the lowest held one, else to redo, else ready, else open. */
export function pressing(stages: readonly PoleStage[]): PoleStage | undefined {
  for (const state of urgency) {
    const found = stages.find((stage) => stage.state === state);
    if (found !== undefined) return found;
  }
  return undefined;
}

/** "Cased: held. 4 of 8 done." */
export function poleName(stages: readonly PoleStage[]): string {
  const total = stages.length;
  const stage = pressing(stages);
  if (stage === undefined) return t('pole.allDone', { total });
  return t('pole.name', {
    stage: t(`stage.${stage.name}`),
    state: t(`state.${stage.state}`),
    done: stages.filter(({ state }) => state === 'done').length,
    total,
  });
}
