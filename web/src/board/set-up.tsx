import { useState } from 'preact/hooks';
import { newId } from '../api/command.ts';
import type { JobView, RoomView } from '../api/views.ts';
import { asList, isDrawn } from '../bench/as-list.ts';
import { pullJob } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Drawing } from '../parts/drawing.tsx';
import { Field } from '../parts/field.tsx';
import { t } from '../words/words.ts';
import { Answer, type AnswerState } from './answer.tsx';
import { perform } from './doing.ts';
import { useJob } from './following.ts';
import { Give } from './give.tsx';
import { JobFrame } from './job-frame.tsx';
import { JobWays, RoomWays } from './set-up-ways.tsx';
import { Stale, Standstill } from './standstill.tsx';
import './set-up.css';

/** What a job is made of: its rooms, storey by storey, and the openings in them. */
export function SetUp({ job }: { job: string }) {
  const { shown } = useJob(job);
  const view = shown.view;
  const again = () => void pullJob(job);
  return (
    <JobFrame job={job} here="set-up" title={t('board.place.set-up')} state={view?.name}>
      {view === undefined ? (
        <Standstill shown={shown} waiting={t('board.job.waiting')} again={again} />
      ) : (
        <div class="set-up">
          <Stale shown={shown} again={again} />
          <ul class="set-up-rooms">
            {view.rooms.map((room) => (
              <li key={room.id}>
                <RoomSetUp job={view} room={room} />
              </li>
            ))}
          </ul>
          <AddRoom job={view} />
          <JobWays job={view} />
        </div>
      )}
    </JobFrame>
  );
}

function RoomSetUp({ job, room }: { job: JobView; room: RoomView }) {
  return (
    <section class="set-up-room" aria-labelledby={`room-${room.id}`}>
      <header class="set-up-head">
        <h2 id={`room-${room.id}`}>{room.name}</h2>
        <span class="set-up-level">{room.level_label}</span>
      </header>
      {room.items.length > 0 && (
        <ul class="set-up-openings">
          {room.items.map((pole) => (
            <li key={pole.id}>
              <a class="set-up-opening" href={`/board/jobs/${job.id}/items/${pole.id}`}>
                <span class="set-up-name">{pole.name}</span>
                <span class="set-up-kind">{pole.kind_label}</span>
              </a>
            </li>
          ))}
        </ul>
      )}
      {room.plan !== undefined && isDrawn(room.plan.drawing) && (
        <div class="set-up-plan">
          <Drawing list={asList(room.plan.drawing)} />
        </div>
      )}
      <div class="set-up-adds">
        <a class="button button-line" href={`/board/jobs/${job.id}/rooms/${room.id}/new`}>
          {t('board.addOpening')}
          <span class="unseen"> {room.name}</span>
        </a>
        <a class="button button-line" href={`/board/jobs/${job.id}/rooms/${room.id}/walls`}>
          {room.plan === undefined ? t('walls.layOut') : t('walls.title')}
          <span class="unseen"> {room.name}</span>
        </a>
        <a class="button button-line" href={`/board/jobs/${job.id}/rooms/${room.id}/run`}>
          {t('run.new')}
          <span class="unseen"> {room.name}</span>
        </a>
      </div>
      <Give job={job.id} room={room.id} name={room.name} to={room.assigned_to} />
      <RoomWays job={job} room={room} />
    </section>
  );
}

const levels = ['upper', 'ground', 'basement'] as const;

function AddRoom({ job }: { job: JobView }) {
  const [name, setName] = useState('');
  const [level, setLevel] = useState<RoomView['level']>(job.rooms.at(-1)?.level ?? 'ground');
  const [answer, setAnswer] = useState<AnswerState>(null);
  const [missing, setMissing] = useState(false);
  const [sending, setSending] = useState(false);
  const add = async () => {
    const called = name.trim();
    if (called === '') {
      setMissing(true);
      return;
    }
    setSending(true);
    const came = await perform(
      'add_room',
      { job: job.id, room: newId() },
      { name: called, level },
      t('board.said.room', { name: called }),
    );
    setSending(false);
    setAnswer(came);
    if (came.came !== 'refused') setName('');
  };
  return (
    <section class="add-room" aria-labelledby="add-room">
      <h2 id="add-room">{t('setUp.addRoom')}</h2>
      <Field
        label={t('setUp.roomName')}
        value={name}
        {...(missing ? { refused: t('setUp.roomName.missing') } : {})}
        onInput={(value) => {
          setMissing(false);
          setName(value);
        }}
        onEnter={() => void add()}
      />
      <Choice
        label={t('setUp.level')}
        labelShown
        value={level}
        options={levels.map((value) => ({ value, label: t(`setUp.level.${value}`) }))}
        onChoose={setLevel}
      />
      <Button
        kind={job.rooms.length === 0 ? 'main' : 'line'}
        disabled={sending}
        onPress={() => void add()}
      >
        {t('setUp.add')}
      </Button>
      <Answer answer={answer} />
    </section>
  );
}
