import type { HouseRules, ItemView, JobView, RoomView } from '../api/views.ts';
import { isWord, t } from '../words/words.ts';

export type Rule = HouseRules['rules'][number];
export type Origin = 'built_in' | 'company' | 'job' | 'room' | 'item';
export type Overrides = Readonly<Record<string, number>>;

/** A house rule as it is in force where one looks, and where that came from. */
export interface RuleHere {
  readonly rule: Rule;
  readonly value: number;
  readonly origin: Origin;
}

/** Whose overrides are looked at and set: the job's, a room's or an opening's. */
export interface Place {
  readonly origin: 'job' | 'room' | 'item';
  /** Its own overrides, without those it takes from around it. */
  readonly own: Overrides;
}

export function placeOf(job: JobView, room?: RoomView, item?: ItemView): Place {
  if (item !== undefined) {
    const own = item.rules.filter(({ origin }) => origin === 'item');
    return { origin: 'item', own: Object.fromEntries(own.map(({ key, value }) => [key, value])) };
  }
  if (room !== undefined) return { origin: 'room', own: room.rules ?? {} };
  return { origin: 'job', own: job.rules ?? {} };
}

/**
 * Every rule as it is in force here. For an opening the server has said so; for a job and a room
 * their own overrides lie over the company's values, which the server laid over the built-in ones.
 */
export function rulesHere(
  table: readonly Rule[],
  job: JobView,
  room?: RoomView,
  item?: ItemView,
): RuleHere[] {
  return table.map((rule) => {
    const said = item?.rules.find(({ key }) => key === rule.key);
    if (said !== undefined) return { rule, value: said.value, origin: said.origin };
    const inRoom = room?.rules?.[rule.key];
    if (inRoom !== undefined) return { rule, value: inRoom, origin: 'room' };
    const inJob = job.rules?.[rule.key];
    if (inJob !== undefined) return { rule, value: inJob, origin: 'job' };
    return { rule, value: rule.value, origin: rule.origin };
  });
}

/** The overrides with one more set; undefined takes it out, so that what is around it counts. */
export function withRule(own: Overrides, key: string, value: number | undefined): Overrides {
  const { [key]: _, ...rest } = own;
  return value === undefined ? rest : { ...rest, [key]: value };
}

// Most of the table stands on this; said once above it, a source of its own stands out.
export const unsourced = 'common practice';

/** What a rule stands on; a newer service's is in its own words. */
export function basisOf({ key, basis }: Pick<Rule, 'key' | 'basis'>): string {
  const word = `houseRules.basis.${key}`;
  if (isWord(word)) return t(word);
  return basis === unsourced ? t('houseRules.common') : basis;
}

/** The table in the order of the work. What is in no group yet stands at the end. */
export const groups = {
  gaps: [
    'hinge_gap',
    'strike_gap',
    'top_gap',
    'bottom_gap',
    'top_allowance',
    'reveal',
    'stop_clearance',
    'floor_to_come',
  ],
  frame: [
    'shim_least',
    'shim_good',
    'shim_most',
    'shim_one_side',
    'hinge_down',
    'hinge_up',
    'hinge_height',
  ],
  limits: [
    'hollow_trim_limit',
    'solid_trim_limit',
    'fire_trim_limit',
    'fire_bottom_most',
    'clear_width_least',
  ],
  checks: [
    'take_agreement',
    'lean_check',
    'plumb_tolerance',
    'square_tolerance',
    'jamb_wall_tolerance',
    'as_cut_tolerance',
    'reveal_tolerance',
    'taped_check',
    'room_close',
    'room_close_share',
  ],
  nails: [
    'nail_bearing_warn',
    'nail_bearing_stop',
    'nail_into_stud',
    'jamb_nail',
    'jamb_nail_most',
    'stud_spacing',
  ],
  finish: [
    'caulk_two_pass',
    'caulk_most',
    'scribe_most',
    'filler_dry',
    'caulk_skin',
    'caulk_cure',
    'recoat',
    'visibility',
    'coats',
  ],
  runs: ['sprung_short', 'sprung_long', 'sprung_from', 'waste'],
  saw: ['saw_kerf', 'stick_trim', 'offcut_least'],
} as const;

export type GroupName = keyof typeof groups | 'other';

export function grouped(rules: readonly RuleHere[]): [GroupName, RuleHere[]][] {
  const left = new Map(rules.map((each) => [each.rule.key, each]));
  const out: [GroupName, RuleHere[]][] = [];
  for (const [name, keys] of Object.entries(groups) as [GroupName, readonly string[]][]) {
    const here = keys.map((key) => left.get(key)).filter((each) => each !== undefined);
    for (const key of keys) left.delete(key);
    if (here.length > 0) out.push([name, here]);
  }
  if (left.size > 0) out.push(['other', [...left.values()]]);
  return out;
}
