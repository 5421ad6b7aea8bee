import { useEffect, useState } from 'preact/hooks';
import { api } from '../api/client.ts';
import { newId } from '../api/command.ts';
import type { ItemView, JobView, Spec } from '../api/views.ts';
import { pullJob } from '../live/store.ts';
import { Notice } from '../parts/notice.tsx';
import { goTo } from '../router.ts';
import { t } from '../words/words.ts';
import { Answer, type AnswerState } from './answer.tsx';
import { perform } from './doing.ts';
import { useItem, useJob } from './following.ts';
import { JobFrame, jobHref } from './job-frame.tsx';
import { OpeningForm } from './opening-form.tsx';
import { type Draft, newDraft } from './opening-spec.ts';
import { ChangedRun } from './run-form.tsx';
import { poleAt, polesOf, roomAt } from './standing.ts';
import { Standstill } from './standstill.tsx';

export interface OpeningScreenProps {
  readonly job: string;
  /** A new opening in this room … */
  readonly room?: string;
  /** … or what an opening is to be, changed. */
  readonly item?: string;
}

/** Setting up an opening: pointed at, with the rule book looking on. */
export function OpeningScreen(props: OpeningScreenProps) {
  const { shown } = useJob(props.job);
  const asked = useItem(props.job, props.item ?? null);
  const job = shown.view;
  const item = asked.view;
  const place =
    job === undefined
      ? undefined
      : props.item === undefined
        ? roomAt(job, props.room ?? '')
        : poleAt(job, props.item);
  const ready = job !== undefined && (props.item === undefined || item !== undefined);
  const stuck = shown.view === undefined ? shown : asked;
  return (
    <JobFrame
      job={props.job}
      here="set-up"
      title={props.item === undefined ? t('opening.new') : (place?.name ?? t('opening.edit'))}
      state={props.item === undefined ? place?.name : item?.room_name}
      back={{ href: jobHref(props.job, 'set-up'), label: t('board.place.set-up') }}
    >
      {!ready ? (
        <Standstill
          shown={stuck}
          waiting={t('board.item.waiting')}
          again={() => void pullJob(props.job)}
        />
      ) : place === undefined ? (
        <Notice kind="gone" sentence={t('opening.gone')} more={t('board.gone.more')} />
      ) : item === undefined ? (
        <NewOpening job={job} room={props.room ?? ''} />
      ) : (item.spec.unit.kind as string) === 'run' ? (
        <ChangedRun key={item.id} job={job} item={item} />
      ) : (
        <ChangedOpening job={props.job} item={item} />
      )}
    </JobFrame>
  );
}

function NewOpening({ job, room }: { job: JobView; room: string }) {
  const pattern = usePattern(job, room);
  const [draft, setDraft] = useState<Draft | null>(null);
  const [named, setNamed] = useState(false);
  const [answer, setAnswer] = useState<AnswerState>(null);
  const [sending, setSending] = useState(false);
  const add = async (then: 'board' | 'next') => {
    if (draft === null) return;
    setSending(true);
    const item = newId();
    const body = { ...draft.spec, name: draft.name };
    const came = await perform(
      'add_item',
      { job: job.id, room, item },
      body,
      t('board.said.add', { name: draft.name }),
    );
    setSending(false);
    setAnswer(came);
    if (came.came === 'refused') return;
    void pullJob(job.id);
    if (then === 'board' && came.came === 'done') goTo(jobHref(job.id));
    else {
      setDraft(null);
      setNamed(false);
      scrollTo(0, 0);
    }
  };
  return (
    <OpeningForm
      draft={draft}
      onKind={(kind) => {
        const name = nameFor(job, room, t(`opening.kind.${kind}`).toLocaleLowerCase());
        setDraft((was) => {
          const made = newDraft(kind, named && was !== null ? was.name : name, pattern(kind));
          return made;
        });
      }}
      onChange={(next) => {
        if (draft !== null && next.name !== draft.name) setNamed(true);
        setDraft(next);
      }}
      unit={job.unit}
      sending={sending}
      send={t('opening.add')}
      onSend={() => void add('board')}
      also={{ label: t('opening.addNext'), onPress: () => void add('next') }}
    >
      <Answer answer={answer} />
    </OpeningForm>
  );
}

function ChangedOpening({ job, item }: { job: string; item: ItemView }) {
  const [draft, setDraft] = useState<Draft>({ name: item.name, spec: item.spec });
  const [answer, setAnswer] = useState<AnswerState>(null);
  const [sending, setSending] = useState(false);
  const save = async () => {
    setSending(true);
    const body = { ...draft.spec, name: draft.name };
    const came = await perform(
      'set_item',
      { job, item: item.id },
      body,
      t('board.said.set', { name: draft.name }),
    );
    setSending(false);
    setAnswer(came);
    if (came.came === 'done') goTo(jobHref(job));
  };
  return (
    <OpeningForm
      draft={draft}
      onChange={setDraft}
      unit={item.unit}
      sending={sending}
      send={t('opening.save')}
      onSend={() => void save()}
    >
      {item.stages.some(({ status }) => status === 'done') && (
        <p class="opening-caution">{t('opening.begun')}</p>
      )}
      <Answer answer={answer} />
    </OpeningForm>
  );
}

/**
 * The last opening of each kind that the job has, the room's before another's: a house's openings
 * are mostly alike. Unknown until heard, and no matter: the common ones do.
 */
function usePattern(job: JobView, room: string): (kind: string) => Spec | undefined {
  const [specs, setSpecs] = useState<readonly Spec[]>([]);
  useEffect(() => {
    let here = true;
    const near = polesOf(job).filter((pole) => pole.room_id === room);
    const far = polesOf(job).filter((pole) => pole.room_id !== room);
    const wanted = new Map<string, string>();
    for (const pole of [...far, ...near]) wanted.set(pole.kind_label, pole.id);
    const ask = async () => {
      for (const id of [...wanted.values()].reverse()) {
        const { spec } = await api.item(job.id, id);
        if (!here) return;
        setSpecs((known) => [...known, spec]);
      }
    };
    ask().catch(() => undefined);
    return () => {
      here = false;
    };
    // Once for a screen: the openings added on it are made from the same pattern.
  }, [job.id, room]);
  return (kind) => specs.find(({ unit }) => unit.kind === kind) ?? specs[0];
}

/** A name nobody has yet: "Mudroom door", then "Mudroom door 2". */
function nameFor(job: JobView, room: string, kind: string): string {
  const base = t('opening.name', { room: roomAt(job, room)?.name ?? '', kind });
  const taken = new Set(polesOf(job).map(({ name }) => name));
  if (!taken.has(base)) return base;
  for (let at = 2; ; at += 1) if (!taken.has(`${base} ${at}`)) return `${base} ${at}`;
}
