import { useState } from 'preact/hooks';
import { t } from '../words/words.ts';
import { Answer, type AnswerState } from './answer.tsx';
import { perform } from './doing.ts';
import { working } from './people.ts';

export interface GiveProps {
  readonly job: string;
  readonly room?: string;
  readonly item?: string;
  /** What is given, said in the list of what is not sent yet. */
  readonly name: string;
  readonly to: string | undefined;
  /** Who has the room an opening is in: an opening taken back is theirs. */
  readonly roomsPerson?: string | undefined;
}

/** The crew as a row of names: touch the one who is to have it; touch again to take it back. */
export function Give(props: GiveProps) {
  const [answer, setAnswer] = useState<AnswerState>(null);
  const [going, setGoing] = useState<string | null>(null);
  const to = going ?? props.to ?? '';
  const give = async (person: string) => {
    setGoing(person);
    const about = {
      job: props.job,
      ...(props.room === undefined ? {} : { room: props.room }),
      ...(props.item === undefined ? {} : { item: props.item }),
    };
    const body = person === '' ? {} : { person_id: person };
    setAnswer(await perform('assign', about, body, t('board.said.give', { name: props.name })));
    setGoing(null);
  };
  return (
    <section class="give">
      <h3 class="chosen-part">{t('board.give')}</h3>
      <div class="give-names">
        {working.value.map((person) => (
          <button
            key={person.id}
            type="button"
            class="give-name"
            aria-pressed={to === person.id}
            onClick={() => {
              if (to !== person.id) void give(person.id);
              else if (person.id !== props.roomsPerson) void give('');
            }}
          >
            {person.name}
          </button>
        ))}
      </div>
      <Answer answer={answer} />
    </section>
  );
}
