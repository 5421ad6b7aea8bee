import { useState } from 'preact/hooks';
import type { JobView } from '../api/views.ts';
import { Words } from '../parts/fraction.tsx';
import { t } from '../words/words.ts';
import { Answer, type AnswerState } from './answer.tsx';
import { dayOfPerson } from './day.ts';
import { perform } from './doing.ts';
import { crew } from './people.ts';
import { poleAt, roomAt } from './standing.ts';
import type { Place } from './walk.ts';

/** What is dragged on the board, as the drag carries it. */
export const dragged = 'application/x-longpoint-place';

export function dragStart(event: DragEvent, place: Place): void {
  event.dataTransfer?.setData(dragged, `${place.kind}:${place.id}`);
  if (event.dataTransfer !== null) event.dataTransfer.effectAllowed = 'move';
}

interface CrewProps {
  readonly job: JobView;
  readonly onSelect: (id: string) => void;
}

/** Who is where: each person's work in order. A pole or a room dropped on a name is theirs. */
export function Crew({ job, onSelect }: CrewProps) {
  const [over, setOver] = useState<string | null>(null);
  const [open, setOpen] = useState<string | null>(null);
  const [answer, setAnswer] = useState<AnswerState>(null);
  const give = async (person: string, what: string) => {
    const [kind, id = ''] = what.split(':');
    const name = kind === 'room' ? roomAt(job, id)?.name : poleAt(job, id)?.name;
    if (name === undefined) return;
    const about = { job: job.id, ...(kind === 'room' ? { room: id } : { item: id }) };
    const said = t('board.said.give', { name });
    setAnswer(await perform('assign', about, { person_id: person }, said));
  };
  return (
    <section class="list crew" aria-labelledby="list-crew">
      <h2 id="list-crew" class="list-title">
        {t('crew.title')}
      </h2>
      <p class="crew-how">{t('crew.how')}</p>
      <ul>
        {crew.value.map((person) => {
          const day = dayOfPerson(job, person.id);
          const first = day[0];
          const is = open === person.id;
          return (
            <li
              key={person.id}
              class={`crew-person ${over === person.id ? 'crew-over' : ''}`}
              onDragOver={(event) => {
                if (!event.dataTransfer?.types.includes(dragged)) return;
                event.preventDefault();
                setOver(person.id);
              }}
              onDragLeave={() => setOver(null)}
              onDrop={(event) => {
                event.preventDefault();
                setOver(null);
                void give(person.id, event.dataTransfer?.getData(dragged) ?? '');
              }}
            >
              <button
                type="button"
                class="crew-name"
                aria-expanded={is}
                onClick={() => setOpen(is ? null : person.id)}
              >
                <b>{person.name}</b>
                <span>
                  {first === undefined
                    ? t('crew.nothing')
                    : t('crew.at', {
                        room: roomAt(job, first.room_id)?.name ?? '',
                        count: day.length,
                      })}
                </span>
              </button>
              {is && (
                <ol class="crew-day" aria-label={t('crew.day', { person: person.name })}>
                  {day.map((pole) => (
                    <li key={pole.id}>
                      <button type="button" class="line-name" onClick={() => onSelect(pole.id)}>
                        {pole.name}
                      </button>
                      <span class="line-where">{roomAt(job, pole.room_id)?.name}</span>
                      {pole.sentence !== undefined && (
                        <p class="line-sentence">
                          <Words>{pole.sentence}</Words>
                        </p>
                      )}
                    </li>
                  ))}
                </ol>
              )}
            </li>
          );
        })}
      </ul>
      <Answer answer={answer} />
    </section>
  );
}
