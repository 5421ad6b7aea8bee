import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import { ask } from '../api/client.ts';
import { newId } from '../api/command.ts';
import type { ItemView, JobView, RoomView } from '../api/views.ts';
import { asList, isDrawn } from '../bench/as-list.ts';
import { capital } from '../bench/taping.tsx';
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
import { CornerJoint, RunJoints, RunStock, RunWalls } from './run-parts.tsx';
import {
  assumedStick,
  changeProfile,
  longestSold,
  newRun,
  type RunDraft,
  type RunKind,
  runKinds,
  type StockLine,
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
  const sold = useSold(job.id);
  const kind = draft.spec.run?.profile.kind ?? 'base';
  const longest = longestSold(sold, kind);
  const said = draft.spec.run?.profile.stock_length;
  useEffect(() => {
    if (longest !== undefined && said === assumedStick(kind))
      setDraft(changeProfile(draft, { stock_length: longest }));
  }, [longest]); // what is said afterwards stays
  return (
    <RunForm
      job={job}
      room={room}
      draft={draft}
      onKind={(kind) =>
        setDraft(
          newRun(kind, named ? draft.name : nameFor(job, room, kind), longestSold(sold, kind)),
        )
      }
      {...(said === longest
        ? { stick: t('run.stick.listed') }
        : said === assumedStick(kind) && longest === undefined
          ? { stick: t('run.stick.assumed') }
          : {})}
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
  /** Where the longest stick comes from, when nobody has said it. */
  stick?: string;
  onSend: () => ReturnType<typeof perform>;
}) {
  const { job, room, draft, onChange } = props;
  const [answer, setAnswer] = useState<AnswerState>(null);
  const [sending, setSending] = useState(false);
  const [corner, setCorner] = useState<string | null>(null);
  const tried = useTriedRun(job, room, props.item, draft);
  const { run } = draft.spec;
  if (run === undefined) return null;
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
  const walls = room.layout?.walls.walls.length ?? 0;
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
      <div class="walls-work fits">
        {props.onKind !== undefined && (
          <Choice
            label={t('run.kind')}
            labelShown
            value={run.profile.kind}
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
          value={run.profile.name ?? ''}
          onInput={(name) => onChange(changeProfile(draft, { name }))}
        />
        {walls > 0 && <RunWalls draft={draft} onChange={onChange} walls={walls} />}
        <RunStock draft={draft} onChange={onChange} unit={job.unit} stick={props.stick} />
        <RunJoints draft={draft} onChange={onChange} />
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
        <Sheet name={capital(section.label)} nameShown modal onClose={() => setCorner(null)}>
          <CornerJoint draft={draft} onChange={onChange} corner={section} />
        </Sheet>
      )}
    </div>
  );
}

/** What the job's and the company's lists have; nothing without a signal. */
function useSold(job: string): readonly StockLine[] {
  const [lines, setLines] = useState<readonly StockLine[]>([]);
  useEffect(() => {
    let here = true;
    ask<{ list: readonly StockLine[] }>(`/jobs/${job}/stock`).then(
      ({ list }) => {
        if (here) setLines(list);
      },
      () => {}, // what is assumed stands, and says so
    );
    return () => {
      here = false;
    };
  }, [job]);
  return lines;
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
