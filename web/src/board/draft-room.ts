/*
 * A room that is not logged yet, tried out in the rule book on this device: the very commands that
 * will be sent are decided and viewed there, so that the plan, the closing error and the pieces shown
 * while setting up are the ones the job will have. No geometry is worked out here.
 */
import { type CommandBody, command } from '../api/command.ts';
import type { FindingView, ItemView, JobView, RoomPlanView, Spec } from '../api/views.ts';
import { type Jobs, jobsOver, type Reader } from '../rulebook/jobs.ts';
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

/** Lays the draft out, and the run in it when there is one. */
export async function tryOut(
  job: Pick<JobView, 'unit' | 'rules'>,
  name: string,
  draft: Draft,
  run?: { readonly name: string; readonly spec: Spec },
  jobs: Jobs = jobsOver(rulebook()),
): Promise<Tried> {
  const now = new Date().toISOString();
  const reader: Reader = {
    language: language.peek().code,
    unit: job.unit,
    step: job.unit === 'mm' ? 1_000_000 : 793_750,
    now,
  };
  const company = job.rules ?? {};
  const refused: FindingView[] = [];
  const give = async <K extends Kind>(kind: K, body: CommandBody<K>, about: About = {}) => {
    const decided = await jobs.decide(as, {
      company,
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
  await give('create_job', { name: 'draft', unit: job.unit });
  await give('add_room', { name, level: 'ground' }, { room: ids.room });
  await give('set_walls', wallsOf(draft), { room: ids.room });
  for (const reading of readingsOf(draft)) await give('take_reading', reading, { room: ids.room });
  if (run !== undefined) {
    await give('add_item', { name: run.name, ...run.spec }, { room: ids.room, item: ids.run });
  }
  const view = await jobs.viewJob(as, company, reader);
  const room = view.rooms[0];
  const item =
    run === undefined || (room?.items.length ?? 0) === 0
      ? undefined
      : await jobs.viewItem(as, ids.run, company, reader);
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
