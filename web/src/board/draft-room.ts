/*
 * A room that is not logged yet, tried out in the rule book on this device: the very commands that
 * will be sent are decided and viewed there, so that the plan, the closing error and the pieces shown
 * while setting up are the ones the job will have. No geometry is worked out here.
 */
import { type CommandBody, command } from '../api/command.ts';
import type { FindingView, ItemView, JobView, RoomPlanView, RoomView, Spec } from '../api/views.ts';
import { company } from '../live/eyes.ts';
import { type Jobs, jobsOver, type Reader, type RuleSet } from '../rulebook/jobs.ts';
import { rulebook } from '../rulebook/load.ts';
import { language } from '../words/words.ts';
import { type Draft, readingsOf, wallsOf } from './walls-draft.ts';

export interface Tried {
  /** The room laid out; nothing where the rules turned the layout back. */
  readonly plan?: RoomPlanView;
  /** The run, when one was tried. */
  readonly run?: ItemView;
  /** Why something was turned back. */
  readonly refused: readonly FindingView[];
}

const as = 'draft';
const ids = {
  job: '00000000-0000-7000-8000-0000000d0001',
  room: '00000000-0000-7000-8000-0000000d0002',
  run: '00000000-0000-7000-8000-0000000d0003',
};

/** The house rules set for a place: the company's, the job's, the room's; of an item, all that it goes by. */
export function rulesAt(
  job: Pick<JobView, 'rules'>,
  room: Pick<RoomView, 'rules'>,
  item?: Pick<ItemView, 'rules'>,
): RuleSet {
  if (item === undefined) return { ...company.peek(), ...job.rules, ...room.rules };
  return Object.fromEntries(
    item.rules.flatMap(({ key, value, origin }) => (origin === 'built_in' ? [] : [[key, value]])),
  );
}

/** Lays the draft out, and the run in it when there is one, by the rules of where it goes. */
export async function tryOut(
  unit: JobView['unit'],
  rules: RuleSet,
  name: string,
  draft: Draft,
  run?: { readonly name: string; readonly spec: Spec },
  jobs: Jobs = jobsOver(rulebook()),
): Promise<Tried> {
  const now = new Date().toISOString();
  const reader: Reader = {
    language: language.peek().code,
    unit,
    step: unit === 'mm' ? 1_000_000 : 793_750,
    now,
  };
  const refused: FindingView[] = [];
  const give = async <K extends Kind>(kind: K, body: CommandBody<K>, about: About = {}) => {
    const decided = await jobs.decide(as, {
      company: rules,
      command: command(kind, { job: ids.job, ...about }, body),
      actor: { person_id: ids.job, role: 'lead' },
      did_at: now,
      now,
      reader,
      keep: true,
    });
    if (decided.refused) refused.push(...decided.findings);
  };
  await jobs.open(as);
  await give('create_job', { name: 'draft', unit });
  await give('add_room', { name, level: 'ground' }, { room: ids.room });
  await give('set_walls', wallsOf(draft), { room: ids.room });
  for (const reading of readingsOf(draft)) await give('take_reading', reading, { room: ids.room });
  if (run !== undefined) {
    await give('add_item', { name: run.name, ...run.spec }, { room: ids.room, item: ids.run });
  }
  const view = await jobs.viewJob(as, rules, reader);
  const room = view.rooms[0];
  const item =
    run === undefined || (room?.items.length ?? 0) === 0
      ? undefined
      : await jobs.viewItem(as, ids.run, rules, reader);
  return {
    refused,
    ...(room?.plan === undefined ? {} : { plan: room.plan }),
    ...(item === undefined ? {} : { run: item }),
  };
}

type Kind = 'create_job' | 'add_room' | 'set_walls' | 'take_reading' | 'add_item';
type About = { readonly room?: string; readonly item?: string };

/** Asks one at a time, and of those that wait only the last: each answer is of a later draft. */
export function inTurn<Asked, Answer>(
  ask: (asked: Asked) => Promise<Answer>,
  told: (answer: Answer) => void,
): (asked: Asked) => void {
  let waiting: { readonly asked: Asked } | null = null;
  let busy = false;
  const go = async () => {
    busy = true;
    while (waiting !== null) {
      const { asked } = waiting;
      waiting = null;
      try {
        told(await ask(asked));
      } catch {
        // The rule book could not be loaded; the next change asks again.
      }
    }
    busy = false;
  };
  return (asked) => {
    waiting = { asked };
    if (!busy) void go();
  };
}
