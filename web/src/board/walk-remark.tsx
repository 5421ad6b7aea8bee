import { useState } from 'preact/hooks';
import type { components } from '../api/schema.ts';
import type { JobView, StageName } from '../api/views.ts';
import { asList, isDrawn } from '../bench/as-list.ts';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Drawing } from '../parts/drawing.tsx';
import { Field } from '../parts/field.tsx';
import { Words } from '../parts/fraction.tsx';
import { Spot } from '../parts/spot.tsx';
import { t } from '../words/words.ts';
import { Answer, type AnswerState } from './answer.tsx';
import { perform } from './doing.ts';
import { personName, working } from './people.ts';
import { RemarkPhotos } from './remark-photos.tsx';
import { dayOf } from './when.ts';

type Remark = components['schemas']['RemarkView'];
type WalkItem = components['schemas']['WalkItemView'];
type Act = NonNullable<Remark['acts']>[number];

export interface WalkRemarkProps {
  readonly job: JobView;
  readonly walk: string;
  readonly room: string;
  readonly remark: Remark;
  /** The item as the homeowner saw it. */
  readonly drawing: WalkItem['drawing'] | undefined;
  readonly onDone: () => void;
}

/** One remark before the lead: what was said, what has come of it, and the answers that are open. */
export function WalkRemark(props: WalkRemarkProps) {
  const { job, remark } = props;
  const [chosen, setChosen] = useState<Act | null>(null);
  const [text, setText] = useState('');
  const [person, setPerson] = useState(remark.assigned_to ?? '');
  const [day, setDay] = useState(remark.day ?? '');
  const [stage, setStage] = useState<StageName | null>(null);
  const [wanting, setWanting] = useState(false);
  const [answer, setAnswer] = useState<AnswerState>(null);
  const needsStage = remark.item_id !== undefined && (remark.stage ?? '') === '';

  const send = async (act: Act) => {
    const words = text.trim();
    if (act.needs_words === true && words === '') return setWanting(true);
    if (act.act === 'agree' && needsStage && stage === null) return setWanting(true);
    const came = await perform(
      'move_remark',
      {
        job: job.id,
        walk: props.walk,
        ...(remark.item_id === undefined ? {} : { item: remark.item_id }),
      },
      {
        remark_id: remark.id,
        act: act.act,
        ...(words === '' ? {} : { text: words }),
        ...(act.act === 'agree' && person !== '' ? { person_id: person } : {}),
        ...(act.act === 'agree' && day !== '' ? { day } : {}),
        ...(act.act === 'agree' && stage !== null ? { stage } : {}),
      },
      `${act.label}: ${remark.sentence}`,
    );
    setAnswer(came);
    if (came.came !== 'refused') {
      setChosen(null);
      setText('');
      props.onDone();
    }
  };

  const pole = job.rooms.flatMap(({ items }) => items).find(({ id }) => id === remark.item_id);
  return (
    <li class={remark.settled ? 'walk-remark walk-remark-settled' : 'walk-remark'}>
      <p class="walk-remark-said">
        <Words>{remark.sentence}</Words>
      </p>
      <p class="walk-remark-where">
        {props.room}
        {remark.item_name !== undefined && (
          <>
            , <a href={`/board/jobs/${job.id}/items/${remark.item_id}`}>{remark.item_name}</a>
          </>
        )}{' '}
        · {dayOf(remark.at)} · <strong>{remark.state_label}</strong>
        {remark.day !== undefined && remark.day !== '' && <> · {dayOf(`${remark.day}T12:00:00`)}</>}
        {personName(remark.assigned_to) !== null && <> · {personName(remark.assigned_to)}</>}
      </p>
      {!remark.settled && (
        <div class="walk-remark-shown">
          {remark.spot !== undefined && props.drawing !== undefined && isDrawn(props.drawing) && (
            <div class="walk-remark-spot">
              <Spot at={remark.spot} name={t('remarks.spot')}>
                <Drawing list={asList(props.drawing)} />
              </Spot>
            </div>
          )}
          <RemarkPhotos
            job={job.id}
            ids={remark.photos ?? []}
            marks={remark.marks}
            says={t('remarks.photo')}
          />
        </div>
      )}
      {(remark.moves ?? []).length > 0 && (
        <ol class="walk-remark-moves">
          {(remark.moves ?? []).map((move) => (
            <li key={move.at}>
              {move.side === 'homeowner'
                ? t('walks.homeowner')
                : (personName(move.person_id) ?? t('walks.crew'))}
              : <Words>{move.sentence}</Words>
              <RemarkPhotos
                job={job.id}
                ids={move.photos ?? []}
                says={move.side === 'homeowner' ? t('remarks.photo') : t('remarks.proof')}
              />
            </li>
          ))}
        </ol>
      )}
      {chosen === null && (remark.acts ?? []).length > 0 && (
        <div class="walk-acts no-print">
          {(remark.acts ?? []).map((act) => (
            <Button key={act.act} onPress={() => setChosen(act)}>
              {act.label}
            </Button>
          ))}
        </div>
      )}
      {chosen !== null && (
        <div class="walk-answer">
          {chosen.act === 'agree' && (
            <>
              {needsStage && pole !== undefined && (
                <Choice
                  label={wanting && stage === null ? t('walks.stage.needed') : t('walks.stage')}
                  labelShown
                  value={stage}
                  options={pole.marks.map((mark) => ({ value: mark.stage, label: mark.label }))}
                  onChoose={setStage}
                />
              )}
              {!needsStage && remark.item_id !== undefined && (
                <p>{t('walks.reopens', { stage: labelOf(job, remark.stage) })}</p>
              )}
              <Choice
                label={t('walks.who')}
                labelShown
                value={person}
                options={working.value.map(({ id, name }) => ({ value: id, label: name }))}
                onChoose={setPerson}
              />
              <label class="walk-day">
                <span>{t('walks.day')}</span>
                <input
                  type="date"
                  value={day}
                  onInput={(event) => setDay(event.currentTarget.value)}
                />
              </label>
            </>
          )}
          <Field
            tall
            label={chosen.needs_words === true ? t('walks.words') : t('walks.wordsOptional')}
            hint={t('walks.words.hint')}
            value={text}
            onInput={setText}
            {...(wanting && chosen.needs_words === true && text.trim() === ''
              ? { refused: t('walk.say.needed') }
              : {})}
          />
          <div class="walk-acts">
            <Button kind="main" onPress={() => void send(chosen)}>
              {chosen.label}
            </Button>
            <Button
              kind="quiet"
              onPress={() => {
                setChosen(null);
                setWanting(false);
              }}
            >
              {t('walks.other')}
            </Button>
          </div>
        </div>
      )}
      <Answer answer={answer} />
    </li>
  );
}

function labelOf(job: JobView, stage: string | undefined): string {
  return job.stages.find((mark) => mark.stage === stage)?.label ?? '';
}
