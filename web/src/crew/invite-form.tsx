import { useState } from 'preact/hooks';
import type { Me } from '../api/views.ts';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Field } from '../parts/field.tsx';
import { ownNames } from '../words/choose.ts';
import { type LanguageCode, t } from '../words/words.ts';
import { type Role, RoleChoice } from './role-choice.tsx';

/** Whom to invite: somebody new, or by their id somebody who lost their way in. */
export interface NewInvite {
  readonly person?: string;
  readonly name?: string;
  readonly role?: Role;
  readonly language?: LanguageCode;
  readonly email?: string;
}

export function InviteForm(props: {
  me: Me;
  /** Whether e-mail is sent at all; without, the link is passed on by hand. */
  mail: boolean;
  onInvite: (made: NewInvite) => void;
}) {
  const [name, setName] = useState('');
  const [email, setEmail] = useState('');
  const [role, setRole] = useState<Role>('installer');
  const [language, setLanguage] = useState<LanguageCode>(props.me.language);
  return (
    <section class="people-opened" aria-labelledby="people-invite">
      <h2 id="people-invite">{t('people.invite')}</h2>
      <Field label={t('people.invite.name')} value={name} onInput={setName} autocomplete="off" />
      {props.mail && (
        <Field
          label={t('people.invite.email')}
          hint={t('people.invite.email.hint')}
          type="email"
          value={email}
          onInput={setEmail}
          autocomplete="off"
        />
      )}
      <RoleChoice me={props.me} value={role} onChoose={setRole} />
      <Choice<LanguageCode>
        label={t('people.invite.language')}
        labelShown
        value={language}
        options={[
          { value: 'en', label: ownNames.en },
          { value: 'es', label: ownNames.es },
        ]}
        onChoose={setLanguage}
      />
      <Button
        kind="main"
        onPress={() => {
          props.onInvite({ name: name.trim(), role, language, email: email.trim() });
          setName('');
          setEmail('');
        }}
      >
        {t('people.invite.make')}
      </Button>
    </section>
  );
}
