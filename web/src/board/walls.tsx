import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import type { FindingView, JobView, RoomView } from '../api/views.ts';
import { asList, isDrawn } from '../bench/as-list.ts';
import { Gauge } from '../bench/gauge.tsx';
import { print } from '../bench/printed.tsx';
import { Closing } from '../bench/room-plan.tsx';
import { pullJob } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Drawing } from '../parts/drawing.tsx';
import { Finding } from '../parts/finding.tsx';
import { Words } from '../parts/fraction.tsx';
import { Notice } from '../parts/notice.tsx';
import { Sheet } from '../parts/sheet.tsx';
import { Tape } from '../parts/tape.tsx';
import { goTo } from '../router.ts';
import { rulebook } from '../rulebook/load.ts';
import { t } from '../words/words.ts';
import { Answer, type AnswerState } from './answer.tsx';
import { perform } from './doing.ts';
import { inTurn, rulesAt, type Tried, tryOut } from './draft-room.ts';
import { useJob } from './following.ts';
import { JobFrame, jobHref } from './job-frame.tsx';
import { roomAt } from './standing.ts';
import { Standstill } from './standstill.tsx';
import { WallParts } from './wall-parts.tsx';
import {
  changesTo,
  changeWall,
  type Draft,
  draftOf,
  insertWall,
  newWall,
  removeWall,
  square,
  wallsOf,
} from './walls-draft.ts';
import './walls.css';

/** A room's walls, walked one after another, the plan growing as they are taped. */
export function WallsScreen(props: { job: string; room: string }) {
  const { shown } = useJob(props.job);
  const job = shown.view;
  const room = job === undefined ? undefined : roomAt(job, props.room);
  return (
    <JobFrame
      job={props.job}
      here="set-up"
      title={t('walls.title')}
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
        <Walls key={room.id} job={job} room={room} />
      )}
    </JobFrame>
  );
}

/** What the tape or the gauge is up for. */
type Ask = { readonly wall: number; readonly what: 'length' | 'stud' | 'bow' | 'angle' };

function Walls({ job, room }: { job: JobView; room: RoomView }) {
  const [before, setBefore] = useState<readonly Draft[]>([]);
  const [draft, setDraft] = useState<Draft>(() => draftOf(room));
  const [chosen, setChosen] = useState(0);
  const [ask, setAsk] = useState<Ask | null>(null);
  const [answer, setAnswer] = useState<AnswerState>(null);
  const [sending, setSending] = useState(false);
  const tried = useTried(job, room, draft);
  const wall = draft.walls[chosen];

  const change = (next: Draft) => {
    setBefore((was) => [...was.slice(-49), draft]);
    setDraft(next);
  };
  const undo = () => {
    const last = before.at(-1);
    if (last === undefined) return;
    setBefore(before.slice(0, -1));
    setDraft(last);
    setChosen((at) => Math.min(at, Math.max(last.walls.length - 1, 0)));
  };
  const next = () => {
    const at = draft.walls.length;
    change({ ...draft, walls: [...draft.walls, newWall] });
    setChosen(at);
    setAsk({ wall: at, what: 'length' });
  };
  const keep = async () => {
    setSending(true);
    const came = await send(job, room, draft);
    setSending(false);
    setAnswer(came);
    if (came?.came === 'done') goTo(jobHref(job.id, 'set-up'));
  };

  return (
    <div class="walls">
      <div class="walls-plan">
        {tried?.plan !== undefined && isDrawn(tried.plan.drawing) ? (
          <Drawing
            list={asList(tried.plan.drawing)}
            {...(ask === null ? {} : { selected: `wall_${ask.wall + 1}_${ask.what}` })}
            onTouch={(key) => {
              const [, number = '', what = ''] = key.split('_');
              const at = Number(number) - 1;
              if (draft.walls[at] === undefined || !isAsked(what)) return;
              setChosen(at);
              setAsk({ wall: at, what });
            }}
          />
        ) : draft.walls.length > 0 ? (
          <Notice kind="waiting" sentence={t('walls.working')} />
        ) : (
          <Notice kind="empty" sentence={t('walls.none')} more={t('walls.none.more')} />
        )}
        {tried?.plan !== undefined && draft.walls.length > 2 && <Closing plan={tried.plan} />}
        <Refused findings={tried?.refused ?? []} />
      </div>
      <div class="walls-work">
        <ol class="walls-list">
          {draft.walls.map((each, at) => (
            <li key={at}>
              <button
                type="button"
                class="wall-line"
                aria-pressed={at === chosen}
                onClick={() => setChosen(at)}
              >
                <span class="wall-number">{t('walls.wall', { wall: at + 1 })}</span>
                <span class="number">
                  <Words>
                    {each.length === null ? t('walls.notTaped') : print(each.length, job.unit)}
                  </Words>
                </span>
                <span class="quiet">{cornerWords(draft, at)}</span>
              </button>
            </li>
          ))}
        </ol>
        <div class="walls-go">
          <Button kind={draft.walls.length < 3 ? 'main' : 'line'} onPress={next}>
            {draft.walls.length === 0 ? t('walls.first') : t('walls.next')}
          </Button>
          <Button disabled={before.length === 0} onPress={undo}>
            {t('walls.undo')}
          </Button>
        </div>
        {wall !== undefined && (
          <section class="wall-parts" aria-label={t('walls.wall', { wall: chosen + 1 })}>
            <h2>{t('walls.wall', { wall: chosen + 1 })}</h2>
            <div class="wall-reads">
              {(['length', 'stud', 'bow'] as const).map((what) => (
                <button
                  key={what}
                  type="button"
                  class="wall-read"
                  onClick={() => setAsk({ wall: chosen, what })}
                >
                  <span>{t(`walls.${what}`)}</span>
                  <span class="number">
                    <Words>{readText(wall[what], job.unit)}</Words>
                  </span>
                </button>
              ))}
            </div>
            {!(draft.open && chosen === draft.walls.length - 1) && (
              <>
                <Choice
                  label={t('walls.corner')}
                  labelShown
                  value={wall.turn}
                  options={[
                    { value: 'inside', label: t('walls.inside') },
                    { value: 'outside', label: t('walls.outside') },
                  ]}
                  onChoose={(turn) => change(changeWall(draft, chosen, { turn }))}
                />
                <fieldset class="picks">
                  <legend class="picks-label">{t('walls.angle')}</legend>
                  <div class="picks-row">
                    {[square, 135_000].map((angle) => (
                      <button
                        key={angle}
                        type="button"
                        class="pick"
                        aria-pressed={wall.angle === angle}
                        onClick={() => change(changeWall(draft, chosen, { angle }))}
                      >
                        {degrees(angle)}
                      </button>
                    ))}
                    <button
                      type="button"
                      class="pick"
                      aria-pressed={wall.angle !== square && wall.angle !== 135_000}
                      onClick={() => setAsk({ wall: chosen, what: 'angle' })}
                    >
                      {wall.angle === square || wall.angle === 135_000
                        ? t('walls.gauge')
                        : degrees(wall.angle)}
                    </button>
                  </div>
                </fieldset>
              </>
            )}
            <WallParts
              draft={draft}
              wall={chosen}
              unit={job.unit}
              items={room.items}
              onChange={change}
            />
            <div class="walls-go">
              <Button
                kind="quiet"
                onPress={() => {
                  change(insertWall(draft, chosen + 1));
                  setChosen(chosen + 1);
                }}
              >
                {t('walls.insert')}
              </Button>
              <Button
                kind="quiet"
                onPress={() => {
                  change(removeWall(draft, chosen));
                  setChosen(Math.max(chosen - 1, 0));
                }}
              >
                {t('walls.remove', { wall: chosen + 1 })}
              </Button>
            </div>
          </section>
        )}
        {draft.walls.length > 0 && <Ends draft={draft} onChange={change} />}
        <div class="walls-keep">
          <Button
            kind="main"
            wide
            disabled={sending || draft.walls.length < (draft.open ? 1 : 3)}
            onPress={() => void keep()}
          >
            {t('walls.keep')}
          </Button>
          <Answer answer={answer} />
        </div>
      </div>
      {ask !== null && draft.walls[ask.wall] !== undefined && (
        <AskSheet
          ask={ask}
          draft={draft}
          unit={job.unit}
          onClose={() => setAsk(null)}
          onKeep={(value) => {
            change(changeWall(draft, ask.wall, { [ask.what]: value }));
            setAsk(null);
          }}
        />
      )}
    </div>
  );
}

function isAsked(what: string): what is Ask['what'] {
  return what === 'length' || what === 'stud' || what === 'bow' || what === 'angle';
}

function AskSheet(props: {
  ask: Ask;
  draft: Draft;
  unit: 'in' | 'mm';
  onClose: () => void;
  onKeep: (value: number) => void;
}) {
  const { ask, draft, unit } = props;
  const wall = draft.walls[ask.wall];
  if (wall === undefined) return null;
  const label = t(`walls.ask.${ask.what}`, { wall: ask.wall + 1 });
  const initial = wall[ask.what];
  const text = ask.what === 'angle' || initial === null ? '' : print(Math.abs(initial), unit);
  return (
    <Sheet name={label} modal onClose={props.onClose}>
      {ask.what === 'angle' ? (
        <Gauge label={label} initial={wall.angle} onKeep={props.onKeep} />
      ) : (
        <Tape
          key={`${ask.wall} ${ask.what}`}
          label={label}
          hint={t(`walls.ask.${ask.what}.hint`)}
          unit={unit}
          initial={initial}
          {...(text === '' ? {} : { initialText: text })}
          {...(ask.what === 'bow'
            ? { signed: { plus: t('walls.bow.in'), minus: t('walls.bow.out') } }
            : {})}
          parse={(typed) => rulebook().parseLength(typed, unit)}
          onKeep={props.onKeep}
        />
      )}
    </Sheet>
  );
}

/** Whether the walk comes back to where it began, and else what stands at its ends. */
function Ends({ draft, onChange }: { draft: Draft; onChange: (draft: Draft) => void }) {
  const ends = ['wall', 'butt', 'return', 'square'] as const;
  return (
    <section class="walls-ends">
      <Choice
        label={t('walls.closing')}
        labelShown
        value={draft.open ? 'open' : 'closed'}
        options={[
          { value: 'closed', label: t('walls.closed') },
          { value: 'open', label: t('walls.openWalk') },
        ]}
        onChoose={(value) => onChange({ ...draft, open: value === 'open' })}
      />
      {draft.open &&
        (['starts', 'ends'] as const).map((which) => (
          <Choice
            key={which}
            label={t(`walls.${which}`)}
            labelShown
            value={draft[which]}
            options={ends.map((value) => ({ value, label: t(`walls.end.${value}`) }))}
            onChoose={(value) => onChange({ ...draft, [which]: value })}
          />
        ))}
    </section>
  );
}

function Refused({ findings }: { findings: readonly FindingView[] }) {
  return (
    <>
      {findings.map((finding) => (
        <Finding
          key={`${finding.code} ${finding.about ?? ''}`}
          severity={finding.severity}
          sentence={finding.sentence ?? finding.code}
          {...(finding.remedy === undefined ? {} : { remedy: finding.remedy })}
        />
      ))}
    </>
  );
}

function cornerWords(draft: Draft, at: number): string {
  const wall = draft.walls[at];
  if (wall === undefined || (draft.open && at === draft.walls.length - 1)) return '';
  const turn = t(`walls.${wall.turn}`).toLocaleLowerCase();
  return wall.angle === square ? turn : `${turn} ${degrees(wall.angle)}`;
}

function degrees(thousandths: number): string {
  return `${thousandths / 1000}°`;
}

function readText(value: number | null, unit: 'in' | 'mm'): string {
  return value === null ? '—' : print(value, unit);
}

/** The draft as the rule book lays it out, asked for at every change. */
function useTried(job: JobView, room: RoomView, draft: Draft): Tried | null {
  const [tried, setTried] = useState<Tried | null>(
    // Until the rule book has answered, the room as it stands.
    room.plan === undefined ? null : { plan: room.plan, refused: [] },
  );
  const here = useRef(true);
  useEffect(() => {
    here.current = true;
    return () => {
      here.current = false;
    };
  }, []);
  const ask = useMemo(
    () =>
      inTurn(
        (asked: Draft) => tryOut(job.unit, rulesAt(job, room), room.name, asked),
        (answer) => {
          if (here.current) setTried(answer);
        },
      ),
    // One queue for the screen: the room's name and the job's rules hardly change under it.
    [job.id, room.id],
  );
  useEffect(() => ask(draft), [ask, draft]);
  return tried;
}

/** Sends the layout, then what was read of it; stops at what the rules turn back. */
async function send(job: JobView, room: RoomView, draft: Draft): Promise<AnswerState> {
  const about = { job: job.id, room: room.id };
  const said = t('walls.said', { room: room.name });
  const { withdraw, take } = changesTo(room, draft);
  for (const id of withdraw) {
    const body = { command_id: id, reason: t('walls.changed') };
    const came = await perform('withdraw', about, body, said);
    if (came.came === 'refused') return came;
  }
  let last = await perform('set_walls', about, wallsOf(draft), said);
  if (last.came === 'refused') return last;
  for (const reading of take) {
    const came = await perform('take_reading', about, reading, said);
    if (came.came === 'refused') return came;
    if (came.came === 'kept') last = came;
  }
  return last;
}
