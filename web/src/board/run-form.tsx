import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import { newId } from '../api/command.ts';
import type { ItemView, JobView, RoomView } from '../api/views.ts';
import { asList, isDrawn } from '../bench/as-list.ts';
import { CornerSection } from '../bench/run-pieces.tsx';
import { pullJob } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Drawing } from '../parts/drawing.tsx';
import { Field } from '../parts/field.tsx';
import { Finding } from '../parts/finding.tsx';
import { Words } from '../parts/fraction.tsx';
import { Notice } from '../parts/notice.tsx';
import { Sheet } from '../parts/sheet.tsx';
import { goTo } from '../router.ts';
import { t } from '../words/words.ts';
import { Answer, type AnswerState } from './answer.tsx';
import { perform } from './doing.ts';
import { inTurn, rulesAt, type Tried, tryOut } from './draft-room.ts';
import { useJob } from './following.ts';
import { JobFrame, jobHref } from './job-frame.tsx';
import { LengthChoice } from './length-choice.tsx';
import {
  changeProfile,
  changeRun,
  clean,
  newRun,
  type RunDraft,
  type RunKind,
  runKinds,
} from './run-spec.ts';
import { polesOf, roomAt } from './standing.ts';
import { Standstill } from './standstill.tsx';
import { draftOf } from './walls-draft.ts';
import './opening.css';
import './walls.css';

/** A new run along a room's walls: the stock, the joints, and at once the pieces it takes. */
export function NewRunScreen(props: { job: string; room: string }) {
  const { shown } = useJob(props.job);
  const job = shown.view;
  const room = job === undefined ? undefined : roomAt(job, props.room);
  return (
    <JobFrame
      job={props.job}
      here="set-up"
      title={t('run.new')}
      state={room?.name}
      back={{ href: jobHref(props.job, 'set-up'), label: t('board.place.set-up') }}
    >
      {job === undefined ? (
        <Standstill
          shown={shown}
          waiting={t('board.job.waiting')}
          again={() => void pullJob(props.job)}
        />
      ) : room === undefined ? (
        <Notice kind="gone" sentence={t('room.gone.more')} more={t('board.gone.more')} />
      ) : (
        <NewRun job={job} room={room} />
      )}
    </JobFrame>
  );
}

function NewRun({ job, room }: { job: JobView; room: RoomView }) {
  const [draft, setDraft] = useState<RunDraft>(() => newRun('base', nameFor(job, room, 'base')));
  const [named, setNamed] = useState(false);
  return (
    <RunForm
      job={job}
      room={room}
      draft={draft}
      onKind={(kind) => setDraft(newRun(kind, named ? draft.name : nameFor(job, room, kind)))}
      onChange={(next) => {
        if (next.name !== draft.name) setNamed(true);
        setDraft(next);
      }}
      send={t('run.add')}
      onSend={() =>
        perform(
          'add_item',
          { job: job.id, room: room.id, item: newId() },
          { ...draft.spec, name: draft.name },
          t('board.said.add', { name: draft.name }),
        )
      }
    />
  );
}

/** A run that is there already, changed. */
export function ChangedRun({ job, item }: { job: JobView; item: ItemView }) {
  const room = roomAt(job, item.room_id);
  const [draft, setDraft] = useState<RunDraft>({ name: item.name, spec: item.spec });
  if (room === undefined) return null;
  return (
    <RunForm
      job={job}
      room={room}
      item={item}
      draft={draft}
      onChange={setDraft}
      send={t('opening.save')}
      begun={item.stages.some(({ status }) => status === 'done')}
      onSend={() =>
        perform(
          'set_item',
          { job: job.id, item: item.id },
          { ...draft.spec, name: draft.name },
          t('board.said.set', { name: draft.name }),
        )
      }
    />
  );
}

function RunForm(props: {
  job: JobView;
  room: RoomView;
  item?: ItemView;
  draft: RunDraft;
  onKind?: (kind: RunKind) => void;
  onChange: (draft: RunDraft) => void;
  send: string;
  begun?: boolean;
  onSend: () => ReturnType<typeof perform>;
}) {
  const { job, room, draft, onChange } = props;
  const [answer, setAnswer] = useState<AnswerState>(null);
  const [sending, setSending] = useState(false);
  const [corner, setCorner] = useState<string | null>(null);
  const tried = useTriedRun(job, room, props.item, draft);
  const { run } = draft.spec;
  if (run === undefined) return null;
  const { profile, corners } = run;
  const size = (
    field: 'height' | 'thickness' | 'stock_length' | 'stands_off' | 'mount',
    none?: string,
  ) => (
    <LengthChoice
      label={t(`run.${field}.${profile.kind === 'crown' ? 'crown' : 'flat'}`)}
      unit={job.unit}
      value={profile[field] === 0 ? undefined : profile[field]}
      sizes={[]}
      {...(none === undefined ? {} : { none })}
      onChoose={(nm) => onChange(changeProfile(draft, { [field]: nm ?? 0 }))}
    />
  );
  const send = async () => {
    setSending(true);
    const came = await props.onSend();
    setSending(false);
    setAnswer(came);
    if (came.came !== 'refused') {
      void pullJob(job.id);
      goTo(jobHref(job.id, 'set-up'));
    }
  };
  const view = tried?.run;
  const section = view?.run?.corners.find(({ key }) => key === corner);
  return (
    <div class="walls">
      <div class="walls-plan">
        {room.plan === undefined ? (
          <Notice kind="empty" sentence={t('run.noWalls')} more={t('run.noWalls.more')}>
            <a class="button button-line" href={`/board/jobs/${job.id}/rooms/${room.id}/walls`}>
              {t('walls.title')}
            </a>
          </Notice>
        ) : view !== undefined && isDrawn(view.cut_drawing) ? (
          <Drawing
            list={asList(view.cut_drawing)}
            pieces
            onTouch={(key) => {
              if (view.run?.corners.some((each) => each.key === key)) setCorner(key);
            }}
          />
        ) : (
          <Notice kind="waiting" sentence={t('run.working')} />
        )}
        {(view?.findings ?? tried?.refused ?? [])
          .filter(({ wanted, stage }) => wanted !== true && stage !== 'nailed')
          .map((finding) => (
            <Finding
              key={`${finding.code} ${finding.about ?? ''}`}
              severity={finding.severity}
              sentence={finding.sentence ?? finding.code}
              {...(finding.remedy === undefined ? {} : { remedy: finding.remedy })}
            />
          ))}
        {view !== undefined && view.cuts.length > 0 && (
          <ul class="run-pieces-list" aria-label={t('run.pieces')}>
            {view.cuts.map((cut) => (
              <li key={cut.piece}>
                <span>{cut.label}</span>
                <strong class="number">
                  <Words>{cut.tape.text}</Words>
                </strong>
                <span class="quiet">{(cut.saw ?? []).join(' · ')}</span>
              </li>
            ))}
          </ul>
        )}
      </div>
      <div class="walls-work">
        {props.onKind !== undefined && (
          <Choice
            label={t('run.kind')}
            labelShown
            value={profile.kind}
            options={runKinds.map((value) => ({ value, label: t(`run.kind.${value}`) }))}
            onChoose={props.onKind}
          />
        )}
        <Field
          label={t('opening.nameLabel')}
          value={draft.name}
          onInput={(name) => onChange({ ...draft, name })}
        />
        <Field
          label={t('run.profile')}
          value={profile.name ?? ''}
          onInput={(name) => onChange(changeProfile(draft, { name }))}
        />
        <div class="run-sizes">
          {size('height')}
          {size('thickness')}
          {size('stock_length', t('run.anyLength'))}
          {profile.kind === 'shoe' && size('stands_off', t('run.nothingBehind'))}
          {profile.kind === 'chair_rail' && size('mount', t('walls.unsaid'))}
        </div>
        {profile.kind === 'crown' && (
          <Choice
            label={t('run.spring')}
            labelShown
            value={String(profile.spring ?? '')}
            options={['38000', '45000', '52000'].map((value) => ({
              value,
              label: `${Number(value) / 1000}°`,
            }))}
            onChoose={(value) => onChange(changeProfile(draft, { spring: Number(value) }))}
          />
        )}
        <Choice
          label={t('run.material')}
          labelShown
          value={run.material ?? 'wood'}
          options={(['wood', 'mdf'] as const).map((value) => ({
            value,
            label: t(`run.material.${value}`),
          }))}
          onChoose={(material) => onChange(changeRun(draft, (was) => ({ ...was, material })))}
        />
        <Choice
          label={t('run.grade')}
          labelShown
          value={draft.spec.unit.grade}
          options={(['paint', 'stain'] as const).map((value) => ({
            value,
            label: t(`run.grade.${value}`),
          }))}
          onChoose={(grade) =>
            onChange({ ...draft, spec: { ...draft.spec, unit: { ...draft.spec.unit, grade } } })
          }
        />
        <Choice
          label={t('run.inside')}
          labelShown
          value={corners.inside ?? 'auto'}
          options={(['auto', 'cope', 'miter', 'butt'] as const).map((value) => ({
            value,
            label: t(`run.inside.${value}`),
          }))}
          onChoose={(value) =>
            onChange(withCorners(draft, { inside: value === 'auto' ? undefined : value }))
          }
        />
        <Choice
          label={t('run.scarf')}
          labelShown
          value={String(corners.scarf_angle ?? 30_000)}
          options={['30000', '45000'].map((value) => ({
            value,
            label: `${Number(value) / 1000}°`,
          }))}
          onChoose={(value) =>
            onChange(withCorners(draft, { scarf_angle: value === '45000' ? 45_000 : undefined }))
          }
        />
        <Choice
          label={t('run.freeEnd')}
          labelShown
          value={corners.free_end ?? 'auto'}
          options={(['auto', 'return', 'square'] as const).map((value) => ({
            value,
            label: t(`run.freeEnd.${value}`),
          }))}
          onChoose={(value) =>
            onChange(withCorners(draft, { free_end: value === 'auto' ? undefined : value }))
          }
        />
        {profile.kind !== 'crown' && (
          <Choice
            label={t('run.registers')}
            labelShown
            value={run.registers ?? null}
            options={(['cut_round', 'run_over'] as const).map((value) => ({
              value,
              label: t(`run.registers.${value}`),
            }))}
            onChoose={(registers) => onChange(changeRun(draft, (was) => ({ ...was, registers })))}
          />
        )}
        {props.begun === true && <p class="opening-caution">{t('opening.begun')}</p>}
        <div class="walls-keep">
          <Button
            kind="main"
            wide
            disabled={sending || draft.name.trim() === ''}
            onPress={() => void send()}
          >
            {props.send}
          </Button>
          <Answer answer={answer} />
        </div>
      </div>
      {section !== undefined && (
        <Sheet name={section.label} nameShown modal onClose={() => setCorner(null)}>
          <div class="asking">
            <CornerSection corner={section} />
          </div>
        </Sheet>
      )}
    </div>
  );
}

type CornersChange = {
  inside?: 'cope' | 'miter' | 'butt' | undefined;
  scarf_angle?: 45_000 | undefined;
  free_end?: 'return' | 'square' | undefined;
};

function withCorners(draft: RunDraft, change: CornersChange): RunDraft {
  return changeRun(draft, (run) => ({
    ...run,
    corners: clean({ ...run.corners, ...change }) as typeof run.corners,
  }));
}

function useTriedRun(
  job: JobView,
  room: RoomView,
  item: ItemView | undefined,
  draft: RunDraft,
): Tried | null {
  const [tried, setTried] = useState<Tried | null>(null);
  const here = useRef(true);
  useEffect(() => {
    here.current = true;
    return () => {
      here.current = false;
    };
  }, []);
  const rules = rulesAt(job, room, item);
  const ask = useMemo(
    () =>
      inTurn(
        (asked: RunDraft) => tryOut(job.unit, rules, room.name, draftOf(room), asked),
        (answer) => {
          if (here.current) setTried(answer);
        },
      ),
    [job.unit, room, JSON.stringify(rules)],
  );
  const laidOut = room.plan !== undefined;
  useEffect(() => {
    if (laidOut && draft.name.trim() !== '') ask(draft);
  }, [ask, draft, laidOut]);
  return tried;
}

/** A name nobody has yet: "Dining room base", then "Dining room base 2". */
function nameFor(job: JobView, room: RoomView, kind: RunKind): string {
  const base = t('run.name', {
    room: room.name,
    kind: t(`run.kind.${kind}`).toLocaleLowerCase(),
  });
  const taken = new Set(polesOf(job).map(({ name }) => name));
  if (!taken.has(base)) return base;
  for (let at = 2; ; at += 1) if (!taken.has(`${base} ${at}`)) return `${base} ${at}`;
}
