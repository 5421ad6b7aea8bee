import type { components } from '../api/schema.ts';
import type { Spec } from '../api/views.ts';
import { common } from '../rulebook/common.ts';

export type StockLine = components['schemas']['StockLineView'];
export type RunSpec = components['schemas']['RunSpec'];
export type Profile = components['schemas']['Profile'];
export type RunKind = Profile['kind'];

export interface RunDraft {
  readonly name: string;
  readonly spec: Spec;
}

export const runKinds = ['base', 'shoe', 'chair_rail', 'crown'] as const;

/** The longest stick of a kind of stock, where no list says what the yard has. */
export const assumedStick = (kind: RunKind): number | undefined =>
  common.profiles[kind].stock_length;

/** The longest stick the lists have of a kind of stock; nothing where nobody has listed any. */
export function longestSold(lines: readonly StockLine[], kind: RunKind): number | undefined {
  const lengths = lines.flatMap(({ stock, origin, offers }) =>
    stock.kind === kind && origin !== 'common' ? offers.map(({ length }) => length) : [],
  );
  return lengths.length === 0 ? undefined : Math.max(...lengths);
}

/** A run of a kind with its usual stock, in sticks as long as the yard's or as is assumed. */
export function newRun(kind: RunKind, name: string, longest = assumedStick(kind)): RunDraft {
  return {
    name,
    spec: {
      unit: { kind: 'run', grade: 'paint' } as Spec['unit'],
      run: {
        profile: { ...common.profiles[kind], ...clean({ stock_length: longest }) } as Profile,
        corners: {},
        material: 'wood',
        registers: 'cut_round',
      },
    },
  };
}

export function changeProfile(draft: RunDraft, change: Partial<Profile>): RunDraft {
  return changeRun(draft, (run) => ({ ...run, profile: clean({ ...run.profile, ...change }) }));
}

export function changeRun(draft: RunDraft, change: (run: RunSpec) => RunSpec): RunDraft {
  const { run } = draft.spec;
  return run === undefined ? draft : { ...draft, spec: { ...draft.spec, run: change(run) } };
}

/** Leaves out what was set to nothing, so that the rule book's own default stands. */
export function clean<T extends object>(value: T): T {
  return Object.fromEntries(
    Object.entries(value).filter(([, each]) => each !== undefined && each !== null),
  ) as T;
}

type Corners = RunSpec['corners'];
type CornerChoice = NonNullable<Corners['choices']>[number];

export function changeCorners(
  draft: RunDraft,
  change: { readonly [K in keyof Corners]?: Corners[K] | undefined },
): RunDraft {
  return changeRun(draft, (run) => ({
    ...run,
    corners: clean({ ...run.corners, ...change }) as Corners,
  }));
}

/** Goes along these walls; along all of them when there are none. */
export function goesAlong(draft: RunDraft, walls: readonly number[]): RunDraft {
  return changeRun(draft, ({ along, ...run }) =>
    walls.length === 0 ? run : { ...run, along: [...walls].sort((a, b) => a - b) },
  );
}

/** Takes a wall in, or out where it was in; the first one pointed at is the only one. */
export function pointAt(draft: RunDraft, wall: number, of: number): RunDraft {
  const was = draft.spec.run?.along ?? [];
  const now = was.includes(wall) ? was.filter((each) => each !== wall) : [...was, wall];
  return goesAlong(draft, now.length === of ? [] : now);
}

/** What was chosen for the corner at a wall's right end. */
export function choiceAt(draft: RunDraft, after: number): Partial<CornerChoice> {
  return draft.spec.run?.corners.choices?.find((each) => each.after === after) ?? {};
}

/** Makes one corner another way than the run's others, or like them again. */
export function chooseAt(
  draft: RunDraft,
  after: number,
  change: { readonly [K in 'inside' | 'first']?: CornerChoice[K] | undefined },
): RunDraft {
  const others = (draft.spec.run?.corners.choices ?? []).filter((each) => each.after !== after);
  const now = clean({ ...choiceAt(draft, after), ...change });
  const said = now.inside !== undefined || now.first !== undefined;
  const choices = said ? [...others, { ...now, after } as CornerChoice] : others;
  return changeCorners(draft, { choices: choices.length === 0 ? undefined : choices });
}
