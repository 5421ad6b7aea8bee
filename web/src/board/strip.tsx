import type { ComponentType } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import type { FindingView, ItemView, JobView, PoleView, StageView } from '../api/views.ts';
import { pullItem } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Field } from '../parts/field.tsx';
import { Finding } from '../parts/finding.tsx';
import { Words } from '../parts/fraction.tsx';
import { PaperLink } from '../parts/paper-link.tsx';
import type { StripProps as StripOfPhotos } from '../photos/strip.tsx';
import { t } from '../words/words.ts';
import { Answer, type AnswerState } from './answer.tsx';
import { type Doing, perform } from './doing.ts';
import { useItem } from './following.ts';
import { Give } from './give.tsx';
import { personName } from './people.ts';
import { roomAt } from './standing.ts';
import { Standstill } from './standstill.tsx';
import { StripHead } from './strip-head.tsx';
import { clockTime } from './when.ts';
import './strip.css';

export interface StripProps {
  readonly job: JobView;
  readonly pole: PoleView;
  readonly onClose: () => void;
}

/** The chosen opening: what is next, what stands in the way, and what a lead does about it. */
export function Strip({ job, pole, onClose }: StripProps) {
  const shown = useItem(job.id, pole.id);
  const item = shown.view;
  const room = roomAt(job, pole.room_id);
  const said = item === undefined ? [] : standingIn(item);
  // Once the findings are here, what holds it is said by them, and not twice.
  const held = said.some(({ finding }) => finding.severity === 'stop' && !isPassed(finding));
  return (
    <div class="chosen">
      <StripHead
        title={pole.name}
        under={[pole.kind_label, room?.name].filter(Boolean).join(', ')}
        onClose={onClose}
      />
      <p>
        <PaperLink href={`/jobs/${job.id}/items/${pole.id}/card.pdf`} label={t('paper.card')} />
        <PaperLink
          href={`/jobs/${job.id}/rooms/${pole.room_id}/cut-sheet.pdf`}
          label={t('paper.cuts')}
        />
      </p>
      {!held && (
        <p class={pole.held ? 'chosen-next chosen-next-held' : 'chosen-next'}>
          <Words>{pole.sentence ?? t('board.allDone')}</Words>
        </p>
      )}
      {item !== undefined && said.length > 0 && (
        <section class="chosen-findings" aria-label={t('board.findings')}>
          {said.map((standing) => (
            <OneFinding key={standing.key} job={job.id} item={item} standing={standing} />
          ))}
        </section>
      )}
      {item === undefined &&
        (shown.offline || shown.gone !== undefined ? (
          <Standstill shown={shown} waiting="" again={() => void pullItem(job.id, pole.id)} />
        ) : (
          <p class="chosen-waiting" role="status">
            {t('board.item.waiting')}
          </p>
        ))}
      {item !== undefined && <ChosenPhotos job={job.id} item={item} />}
      <div class="chosen-ways">
        <a class="button button-line" href={`/bench/jobs/${job.id}/items/${pole.id}`}>
          {t('board.open')}
        </a>
        <a class="button button-line" href={`/board/jobs/${job.id}/items/${pole.id}`}>
          {t('board.editSpec')}
        </a>
      </div>
      <Give
        job={job.id}
        item={pole.id}
        name={pole.name}
        to={pole.assigned_to}
        roomsPerson={room?.assigned_to}
      />
      {item !== undefined && <Reopen job={job.id} item={item} />}
      <p class="chosen-foot">
        <a href={`/board/jobs/${job.id}/rules/items/${pole.id}`}>{t('board.rulesHere')}</a>
      </p>
    </div>
  );
}

/** Loaded with the first opening that has any. */
function ChosenPhotos({ job, item }: { job: string; item: ItemView }) {
  const [Photos, setPhotos] = useState<ComponentType<StripOfPhotos> | null>(null);
  const { photos = [] } = item;
  const any = photos.length > 0;
  useEffect(() => {
    if (!any) return;
    let here = true;
    import('../photos/strip.tsx').then(
      (file) => {
        if (here) setPhotos(() => file.PhotoStrip);
      },
      () => undefined,
    );
    return () => {
      here = false;
    };
  }, [any]);
  if (!any || Photos === null) return null;
  return (
    <section aria-label={t('photos.section')}>
      <Photos
        job={job}
        item={item.id}
        itemName={item.name}
        photos={photos}
        nameOf={(id) => personName(id) ?? ''}
      />
    </section>
  );
}

interface Standing {
  readonly finding: FindingView;
  readonly key: string;
}

/** Stops and warnings of all its stages; what is only still to be entered is the bench's to say. */
function standingIn(item: ItemView): readonly Standing[] {
  const all = item.stages.flatMap((stage) =>
    (stage.findings ?? []).map((finding, at) => ({ finding, key: stage.keys?.[at] ?? '' })),
  );
  return all.filter(({ finding }) => finding.wanted !== true && finding.severity !== 'note');
}

function isPassed(finding: FindingView): boolean {
  return finding.passed_by !== undefined && finding.passed_by !== '';
}

function OneFinding(props: { job: string; item: ItemView; standing: Standing }) {
  const { job, item, standing } = props;
  const { finding, key } = standing;
  const passed = isPassed(finding);
  const passable = finding.severity === 'stop' && !passed && finding.clears_at === undefined;
  return (
    <div class="chosen-finding">
      {finding.safety === true && (
        <p class="chosen-safety">
          <svg viewBox="0 0 20 20" aria-hidden="true">
            <path d="M6 1.5H14L18.500 6V14L14 18.500H6L1.500 14V6Z" />
          </svg>
          {t('board.safety')}
        </p>
      )}
      <Finding
        severity={passed ? 'note' : finding.severity}
        sentence={finding.sentence ?? ''}
        {...(finding.remedy === undefined ? {} : { remedy: finding.remedy })}
        {...(finding.basis === undefined ? {} : { basis: finding.basis })}
      />
      {finding.clears_at !== undefined && (
        <p class="line-clears">{t('board.clears', { time: clockTime(finding.clears_at) })}</p>
      )}
      {passed && (
        <p class="chosen-passed">
          {t('board.passed', {
            person: personName(finding.passed_by) ?? t('board.aLead'),
            reason: finding.passed_as ?? '',
          })}
        </p>
      )}
      {passable && (
        <Reasoned
          open={t('board.pass')}
          name={`${t('board.pass')} ${finding.sentence ?? ''}`}
          label={t('board.pass.reason')}
          hint={t(finding.safety ? 'board.pass.safety' : 'board.pass.hint')}
          send={t('board.pass.send')}
          onSend={(reason) =>
            perform(
              'pass_stop',
              { job, item: item.id },
              { key, reason },
              t('board.said.pass', { name: item.name }),
            )
          }
        />
      )}
    </div>
  );
}

/** Opening a done stage again: which, and why. Those that rest on it become work to redo. */
function Reopen({ job, item }: { job: string; item: ItemView }) {
  const done = item.stages.filter(
    ({ status, done: mark }) => status === 'done' && mark !== undefined,
  );
  const [stage, setStage] = useState<StageView['stage'] | null>(null);
  const last = done.at(-1);
  if (last === undefined) return null;
  return (
    <Reasoned
      open={t('board.reopen')}
      label={t('board.reopen.reason')}
      hint={t('board.reopen.hint')}
      send={t('board.reopen.send')}
      before={
        <Choice
          label={t('board.reopen.which')}
          labelShown
          value={stage ?? last.stage}
          options={done.map(({ stage: value, label }) => ({ value, label }))}
          onChoose={setStage}
        />
      }
      onSend={(reason) =>
        perform(
          'reopen_stage',
          { job, item: item.id },
          { stage: stage ?? last.stage, reason },
          t('board.said.reopen', { name: item.name }),
        )
      }
    />
  );
}

interface ReasonedProps {
  readonly open: string;
  readonly name?: string;
  readonly label: string;
  readonly hint: string;
  readonly send: string;
  readonly before?: preact.ComponentChildren;
  readonly onSend: (reason: string) => Promise<Doing>;
}

/** Something that needs a written reason: it opens, is written, is sent, and closes. */
function Reasoned(props: ReasonedProps) {
  const [open, setOpen] = useState(false);
  const [reason, setReason] = useState('');
  const [answer, setAnswer] = useState<AnswerState>(null);
  const [sending, setSending] = useState(false);
  const [missing, setMissing] = useState(false);
  const send = async () => {
    if (reason.trim() === '') {
      setMissing(true);
      return;
    }
    setSending(true);
    const came = await props.onSend(reason.trim());
    setSending(false);
    setAnswer(came);
    if (came.came !== 'refused') {
      setOpen(false);
      setReason('');
    }
  };
  return (
    <div class="reasoned">
      <Button
        kind="quiet"
        expanded={open}
        {...(props.name === undefined ? {} : { name: props.name })}
        onPress={() => setOpen(!open)}
      >
        {props.open}
      </Button>
      {open && (
        <div class="reasoned-form">
          {props.before}
          <Field
            label={props.label}
            hint={props.hint}
            tall
            value={reason}
            {...(missing ? { refused: t('board.reason.missing') } : {})}
            onInput={(value) => {
              setMissing(false);
              setReason(value);
            }}
          />
          <Button kind="line" disabled={sending} onPress={() => void send()}>
            {props.send}
          </Button>
        </div>
      )}
      <Answer answer={answer} />
    </div>
  );
}
