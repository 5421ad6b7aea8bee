import type { ComponentChildren } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { newId } from '../api/command.ts';
import { Refusal } from '../api/refusal.ts';
import type { JobView, RoomView } from '../api/views.ts';
import { pullJob } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Field } from '../parts/field.tsx';
import { Notice } from '../parts/notice.tsx';
import { session } from '../sign-in/session.ts';
import { t } from '../words/words.ts';
import { Answer, type AnswerState } from './answer.tsx';
import { perform } from './doing.ts';
import { type Asked, asking, door, type Level, type SetUpOutcome, type Template } from './door.ts';
import { withRule } from './house-rules.ts';
import { LengthChoice } from './length-choice.tsx';
import type { Nominal } from './opening-spec.ts';

/** Asks the service for one thing and says what came of it where it was asked for. */
function useAsked(job: string) {
  const [asked, setAsked] = useState<Asked>(asking);
  const [busy, setBusy] = useState(false);
  const [said, setSaid] = useState<{ kind: 'done' | 'refused'; sentence: string } | null>(null);
  const run = async (what: (asked: Asked) => Promise<SetUpOutcome | string>) => {
    setBusy(true);
    try {
      const came = await what(asked);
      const sentence =
        typeof came === 'string'
          ? came
          : t('setUp.done', { first: came.first_seq, last: came.last_seq });
      setSaid({ kind: 'done', sentence });
      setAsked(asking());
      void pullJob(job);
    } catch (cause) {
      // The id stays where the answer was lost or the service was busy: asking again does nothing twice.
      if (cause instanceof Refusal && !cause.passing) setAsked(asking());
      const sentence =
        cause instanceof Refusal
          ? [cause.sentence, ...cause.fields.slice(0, 2).map((each) => each.what)].join(' ')
          : t('setUp.away');
      setSaid({ kind: 'refused', sentence });
    }
    setBusy(false);
  };
  const answer = said !== null && (
    <div role="status">
      <Notice kind={said.kind === 'done' ? 'empty' : 'refused'} slim sentence={said.sentence} />
    </div>
  );
  return { busy, run, answer };
}

interface WayProps {
  readonly open: string;
  readonly name?: string;
  readonly children: ComponentChildren;
}

/** Something that opens where it stands. */
function Way({ open, name, children }: WayProps) {
  const [is, setIs] = useState(false);
  return (
    <div class="way">
      <Button
        kind="quiet"
        expanded={is}
        {...(name === undefined ? {} : { name })}
        onPress={() => setIs(!is)}
      >
        {open}
      </Button>
      {is && <div class="way-form">{children}</div>}
    </div>
  );
}

const levels = ['upper', 'ground', 'basement'] as const;

/** What else can be done with a room that is set up. */
export function RoomWays({ job, room }: { job: JobView; room: RoomView }) {
  return (
    <div class="ways">
      <FloorToCome job={job} room={room} />
      <Way open={t('setUp.copy')} name={`${t('setUp.copy')}, ${room.name}`}>
        <CopyRoom job={job.id} room={room} />
      </Way>
      {room.items.length > 0 && (
        <>
          <Way open={t('setUp.useTrim')} name={`${t('setUp.useTrim')}, ${room.name}`}>
            <UseTemplate job={job.id} kind="trim" room={room.id} />
          </Way>
          <Way open={t('setUp.keepTrim')} name={`${t('setUp.keepTrim')}, ${room.name}`}>
            <Keep job={job.id} room={room} kind="trim" />
          </Way>
        </>
      )}
      <Way open={t('setUp.keepRoom')} name={`${t('setUp.keepRoom')}, ${room.name}`}>
        <Keep job={job.id} room={room} kind="rooms" />
      </Way>
    </div>
  );
}

/** What can be done with the job as a whole. */
export function JobWays({ job }: { job: JobView }) {
  return (
    <div class="ways">
      <a class="button button-line" href={`/board/jobs/${job.id}/import`}>
        {t('import.open')}
      </a>
      <Way open={t('setUp.useRooms')}>
        <UseTemplate job={job.id} kind="rooms" />
      </Way>
      {job.rooms.length > 0 && (
        <>
          <Way open={t('setUp.useTrim.all')}>
            <UseTemplate job={job.id} kind="trim" />
          </Way>
          <Way open={t('setUp.keepJob')}>
            <Keep job={job.id} kind="rooms" name={job.name} />
          </Way>
        </>
      )}
    </div>
  );
}

function CopyRoom({ job, room }: { job: string; room: RoomView }) {
  const [name, setName] = useState('');
  const [level, setLevel] = useState<Level>(room.level);
  const { busy, run, answer } = useAsked(job);
  const copy = () =>
    void run((asked) => door.copyRoom(job, room.id, asked, { name: name.trim(), level }));
  return (
    <>
      <Field
        label={t('setUp.copy.name')}
        hint={t('setUp.copy.hint')}
        value={name}
        onInput={setName}
        onEnter={copy}
      />
      <Choice
        label={t('setUp.level')}
        labelShown
        value={level}
        options={levels.map((value) => ({ value, label: t(`setUp.level.${value}`) }))}
        onChoose={setLevel}
      />
      <Button disabled={busy || name.trim() === ''} onPress={copy}>
        {t('setUp.copy.do')}
      </Button>
      {answer}
    </>
  );
}

interface KeepProps {
  readonly job: string;
  readonly room?: RoomView;
  readonly kind: Template['kind'];
  readonly name?: string;
}

function Keep({ job, room, kind, name: first = room?.name ?? '' }: KeepProps) {
  const [name, setName] = useState(kind === 'trim' ? '' : first);
  const { busy, run, answer } = useAsked(job);
  const keep = () =>
    void run(async () => {
      const about = room === undefined ? {} : { room_id: room.id };
      await door.keep({ id: newId(), name: name.trim(), kind, job_id: job, ...about });
      return t('setUp.kept', { name: name.trim() });
    });
  const hint =
    kind === 'trim'
      ? 'setUp.keepTrim.hint'
      : room === undefined
        ? 'setUp.keepJob.hint'
        : 'setUp.keepRoom.hint';
  return (
    <>
      <Field
        label={t(kind === 'trim' ? 'setUp.keepTrim.name' : 'setUp.keepRoom.name')}
        hint={t(hint)}
        value={name}
        onInput={setName}
        onEnter={keep}
      />
      <Button disabled={busy || name.trim() === ''} onPress={keep}>
        {t('setUp.keep')}
      </Button>
      {answer}
    </>
  );
}

interface UseProps {
  readonly job: string;
  readonly kind: Template['kind'];
  readonly room?: string;
}

function UseTemplate({ job, kind, room }: UseProps) {
  const [list, setList] = useState<readonly Template[] | null>(null);
  const [chosen, setChosen] = useState('');
  const [name, setName] = useState('');
  const { busy, run, answer } = useAsked(job);
  const take = (all: readonly Template[]) => {
    const mine = all.filter((each) => each.kind === kind);
    setList(mine);
    setChosen(mine[0]?.id ?? '');
  };
  useEffect(() => {
    door.templates().then(take, () => setList([]));
  }, []);
  if (list === null) return null;
  if (list.length === 0 && answer === false) {
    return <p>{t(kind === 'trim' ? 'setUp.useTrim.none' : 'setUp.useRooms.none')}</p>;
  }
  const called = name.trim() === '' ? {} : { name: name.trim() };
  const about = room === undefined ? {} : { room_id: room };
  return (
    <>
      <label class="way-which">
        <span>{t('setUp.useTrim.which')}</span>
        <select value={chosen} onChange={(event) => setChosen(event.currentTarget.value)}>
          {list.map((each) => (
            <option key={each.id} value={each.id}>
              {each.name}
            </option>
          ))}
        </select>
      </label>
      {kind === 'rooms' ? (
        <Field
          label={t('setUp.useRooms.name')}
          hint={t('setUp.useRooms.name.hint')}
          value={name}
          onInput={setName}
        />
      ) : (
        <p class="field-hint">{t('setUp.useTrim.hint')}</p>
      )}
      <div class="way-row">
        <Button
          disabled={busy || chosen === ''}
          onPress={() =>
            void run((asked) => door.use(job, chosen, asked, kind === 'rooms' ? called : about))
          }
        >
          {t(kind === 'rooms' ? 'setUp.useRooms.do' : 'setUp.useTrim.do')}
        </Button>
        <Button
          kind="quiet"
          disabled={busy || chosen === ''}
          name={`${t('setUp.drop')}, ${list.find(({ id }) => id === chosen)?.name ?? ''}`}
          onPress={() =>
            void door
              .drop(chosen)
              .then(() => door.templates())
              .then(take, () => undefined)
          }
        >
          {t('setUp.drop')}
        </Button>
      </div>
      {answer}
    </>
  );
}

const inch = 25_400_000;
// Common floors over their underlayment: vinyl, tile, strip flooring, strip over plywood (common practice).
const floors: Readonly<Record<'in' | 'mm', readonly Nominal[]>> = {
  in: [
    { label: '1/4', nm: inch / 4 },
    { label: '1/2', nm: inch / 2 },
    { label: '3/4', nm: (inch * 3) / 4 },
    { label: '1 1/4', nm: (inch * 5) / 4 },
  ],
  mm: [6, 12, 20, 30].map((each) => ({ label: `${each}`, nm: each * 1_000_000 })),
};

/** What the floor of a room is still built up by: readings from the subfloor come right by it. */
function FloorToCome({ job, room }: { job: JobView; room: RoomView }) {
  const [answer, setAnswer] = useState<AnswerState>(null);
  const now = session.value;
  const unit = now.state === 'in' ? now.me.unit : job.unit;
  const set = async (nm: number | undefined) => {
    const body = { set: { ...withRule(room.rules ?? {}, 'floor_to_come', nm) } };
    const said = t('board.said.rule', { rule: t('rule.floor_to_come'), name: room.name });
    setAnswer(await perform('set_rules', { job: job.id, room: room.id }, body, said));
  };
  return (
    <div>
      <LengthChoice
        label={t('setUp.floor')}
        unit={unit}
        value={room.rules?.['floor_to_come']}
        sizes={floors[unit]}
        none={t('setUp.floor.none')}
        onChoose={(nm) => void set(nm)}
      />
      <Answer answer={answer} />
    </div>
  );
}
