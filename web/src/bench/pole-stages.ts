import type { PoleMark } from '../api/views.ts';
import type { PoleStage } from '../parts/stages.ts';

/** A view's marks as the pole draws them. */
export function poleStages(marks: readonly PoleMark[]): readonly PoleStage[] {
  return marks.map(({ stage, status }) => ({ name: stage, state: status }));
}
