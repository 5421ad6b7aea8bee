import { useState } from 'preact/hooks';
import type { Me, Person } from '../api/views.ts';
import { Button } from '../parts/button.tsx';
import { leads } from '../sign-in/session.ts';
import { t } from '../words/words.ts';
import { Access } from '../you/access.tsx';
import { type Role, RoleChoice } from './role-choice.tsx';

export interface PersonRowProps {
  readonly me: Me;
  readonly person: Person;
  readonly onRole: (role: Role) => void;
  readonly onRemove: () => void;
  /** An invitation for somebody who lost their way in, or who left. */
  readonly onBack: () => void;
  /** A phone of theirs has been said to be lost. */
  readonly onLost: () => void;
}

/** Somebody of the crew; who looks after them opens what can be changed. */
export function PersonRow(props: PersonRowProps) {
  const { me, person } = props;
  const [open, setOpen] = useState(false);
  const [sure, setSure] = useState(false);
  const here = person.left !== true;
  // The service says the same, and has the last word (account.Manages).
  const managed =
    leads(me) && person.id !== me.person_id && (me.role === 'owner' || person.role !== 'owner');
  return (
    <li class="people-person">
      <div class="you-row">
        <span>
          <bdi class="people-name">{person.name}</bdi>
          <span class="quiet">
            {here ? t(`people.role.${person.role}`) : t('people.left')}
            {person.id === me.person_id && `, ${t('people.self')}`}
          </span>
        </span>
        {managed && (
          <Button
            name={`${t('people.more')}: ${person.name}`}
            expanded={open}
            onPress={() => setOpen(!open)}
          >
            {t('people.more')}
          </Button>
        )}
      </div>
      {open && (
        <div class="people-opened">
          {here && <RoleChoice me={me} value={person.role} onChoose={props.onRole} />}
          {here && <Access person={person.id} own={false} onLost={props.onLost} />}
          <div class="you-acts">
            <Button onPress={props.onBack}>{t('people.back')}</Button>
            {here && (
              <Button onPress={() => (sure ? props.onRemove() : setSure(true))}>
                {sure ? t('people.remove.sure') : t('people.remove')}
              </Button>
            )}
          </div>
          {sure && here && <p class="quiet">{t('people.remove.more')}</p>}
        </div>
      )}
    </li>
  );
}
