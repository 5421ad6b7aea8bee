import { useState } from 'preact/hooks';
import { ask } from '../api/client.ts';
import { sentenceOf } from '../api/refusal.ts';
import type { components } from '../api/schema.ts';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Field } from '../parts/field.tsx';
import { t } from '../words/words.ts';

type Contacts = components['schemas']['WalkContacts'];

interface ContactFieldsProps {
  /** Whether e-mail is sent here; unknown without an answer. */
  readonly mail: boolean | undefined;
  readonly contacts: Contacts;
  readonly onChange: (changed: Partial<Contacts>) => void;
}

/** Who is told about a walkthrough, and in what language its homeowner reads. */
export function ContactFields({ mail, contacts, onChange }: ContactFieldsProps) {
  return (
    <>
      {mail === true && (
        <>
          <Field
            label={t('walks.mail.guest')}
            hint={t('walks.mail.guest.hint')}
            type="email"
            value={contacts.email ?? ''}
            onInput={(email) => onChange({ email })}
            autocomplete="off"
          />
          <Field
            label={t('walks.mail.own')}
            hint={t('walks.mail.own.hint')}
            type="email"
            value={contacts.lead_email ?? ''}
            onInput={(lead_email) => onChange({ lead_email })}
            autocomplete="email"
          />
        </>
      )}
      {mail === false && <p class="walk-one-says">{t('walks.mail.off')}</p>}
      <Choice
        label={t('walks.language')}
        labelShown
        value={contacts.language}
        options={[
          { value: 'en', label: t('walks.english') },
          { value: 'es', label: t('walks.spanish') },
        ]}
        onChoose={(language) => onChange({ language })}
      />
    </>
  );
}

interface WalkContactsProps {
  readonly job: string;
  readonly walk: string;
  readonly mail: boolean | undefined;
  readonly onDone: () => void;
}

/** Changes who is told, after the walkthrough was opened: what has not got through goes to the new address. */
export function WalkContacts({ job, walk, mail, onDone }: WalkContactsProps) {
  const [contacts, setContacts] = useState<Contacts | null>(null);
  const [refused, setRefused] = useState<string>();
  const path = `/jobs/${job}/walks/${walk}/contacts`;
  const trying = (work: Promise<void>) =>
    work.then(
      () => setRefused(undefined),
      (cause) => setRefused(sentenceOf(cause, t('walks.noSignal'))),
    );
  const keep = ({ language, email = '', lead_email = '' }: Contacts) =>
    trying(
      ask<Contacts>(path, {
        method: 'PUT',
        body: { language, email: email.trim(), lead_email: lead_email.trim() },
      }).then(() => {
        setContacts(null);
        onDone();
      }),
    );
  return (
    <>
      {contacts === null ? (
        <Button kind="quiet" onPress={() => void trying(ask<Contacts>(path).then(setContacts))}>
          {t('walks.contacts')}
        </Button>
      ) : (
        <div class="walk-answer">
          <ContactFields
            mail={mail}
            contacts={contacts}
            onChange={(changed) => setContacts({ ...contacts, ...changed })}
          />
          <p class="walk-one-says">{t('walks.contacts.more')}</p>
          <div class="walk-acts">
            <Button kind="main" onPress={() => void keep(contacts)}>
              {t('walks.contacts.keep')}
            </Button>
            <Button kind="quiet" onPress={() => setContacts(null)}>
              {t('walks.contacts.leave')}
            </Button>
          </div>
        </div>
      )}
      {refused !== undefined && (
        <p class="walk-refused" role="alert">
          {refused}
        </p>
      )}
    </>
  );
}
