import type { PoleStage, StageState } from '../parts/stages.ts';
import { stageOrder } from '../parts/stages.ts';

export const allStates: readonly PoleStage[] = [
  { name: 'measured', state: 'done', note: 'Dana, Tuesday 8:10' },
  { name: 'trimmed', state: 'done', note: 'Slab down 7/8, legs 80 1/8 and 80 1/4' },
  { name: 'hung', state: 'done' },
  { name: 'cased', state: 'redone', note: 'Jamb reset after it was cased' },
  { name: 'nailed', state: 'ready' },
  { name: 'filled', state: 'held', note: '4 holes of 16 gauge are down for caulk' },
  { name: 'caulked', state: 'open' },
  { name: 'painted', state: 'open' },
];

export const wallRun: readonly PoleStage[] = [
  { name: 'measured', state: 'done' },
  { name: 'trimmed', state: 'ready' },
  { name: 'nailed', state: 'open' },
  { name: 'filled', state: 'open' },
  { name: 'caulked', state: 'open' },
  { name: 'painted', state: 'open' },
];

export const untouched: readonly PoleStage[] = stageOrder.map((name, at) => ({
  name,
  state: at === 0 ? 'ready' : 'open',
}));

export const finished: readonly PoleStage[] = stageOrder.map((name) => ({ name, state: 'done' }));

export function upTo(done: number, then: StageState): readonly PoleStage[] {
  return stageOrder.map((name, at) => ({
    name,
    state: at < done ? 'done' : at === done ? then : 'open',
  }));
}
