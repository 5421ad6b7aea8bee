import boardWords from 'virtual:words/board';
import peopleWords from 'virtual:words/people';
import youWords from 'virtual:words/you';
import { useEffect, useState } from 'preact/hooks';
import { api, ask } from '../api/client.ts';
import { sentenceOf } from '../api/refusal.ts';
import type { components } from '../api/schema.ts';
import type { Me, Person } from '../api/views.ts';
import { type MessageList, Messages } from '../board/messages.tsx';
import { dayOf } from '../board/when.ts';
import { Button } from '../parts/button.tsx';
import { LinkCode } from '../parts/link-code.tsx';
import { Notice } from '../parts/notice.tsx';
import { TopBar } from '../parts/rail.tsx';
import { Gate } from '../sign-in/gate.tsx';
import { leads } from '../sign-in/session.ts';
import { addWords } from '../words/choose.ts';
import { t } from '../words/words.ts';
import { InviteForm, type NewInvite } from './invite-form.tsx';
import { type LostPhone, LostPhones } from './lost-phones.tsx';
import { PersonRow } from './person-row.tsx';
import './people.css';

for (const words of [boardWords, peopleWords, youWords]) addWords(words);

type Link = components['schemas']['InviteLink'];
type InviteLine = components['schemas']['InviteLine'];

/** The company's people: who they are, what they may do, and who is still to come. */
export function Crew() {
  return <Gate>{(me) => <People me={me} />}</Gate>;
}

function People({ me }: { me: Me }) {
  const [people, setPeople] = useState<readonly Person[] | null>(null);
  const [invites, setInvites] = useState<readonly InviteLine[]>([]);
  const [mail, setMail] = useState<MessageList>({ mail: false, messages: [] });
  const [lost, setLost] = useState<readonly LostPhone[]>([]);
  const [link, setLink] = useState<Link | null>(null);
  const [refused, setRefused] = useState('');
  /** Does it, and says why where it did not go through. */
  const trying = async (work: Promise<unknown>): Promise<void> => {
    try {
      await work;
      setRefused('');
    } catch (cause) {
      setRefused(sentenceOf(cause, t('you.offline')));
    }
  };
  const load = async () => {
    setPeople(await api.people());
    if (!leads(me)) return;
    setInvites((await ask<{ invites: InviteLine[] }>('/invites')).invites);
    setMail(await ask<MessageList>('/messages'));
    setLost((await ask<{ phones: LostPhone[] }>('/lost-phones')).phones);
  };
  const change = (path: string, method: 'PUT' | 'DELETE', body?: unknown) =>
    void trying(ask(path, { method, body }).then(load));
  const invite = (made: NewInvite) =>
    trying(
      ask<Link>('/invites', {
        method: 'POST',
        body: { ...made, address: `${location.origin}/join` },
      }).then((got) => {
        setLink(got);
        scrollTo(0, 0);
        return load();
      }),
    );
  useEffect(() => {
    void trying(load());
  }, []);
  const mailsTo = (id: string) => mail.messages.filter(({ about_id }) => about_id === id);
  const sentTo = link === null ? undefined : mailsTo(link.invite.id)[0]?.email;

  return (
    <>
      <TopBar title={t('people.title')} back={{ href: '/board', label: t('board.title') }}>
        <bdi>{me.company_name}</bdi>
      </TopBar>
      <main class="people">
        {refused !== '' && people !== null && (
          <p class="turned-down" role="alert">
            {refused}
          </p>
        )}
        {link !== null && (
          <section class="people-link" aria-labelledby="people-link">
            <h2 id="people-link">{t('people.link')}</h2>
            <p>
              {t('people.link.once')}
              {sentTo !== undefined && ` ${t('walks.mail.too', { email: sentTo })}`}
            </p>
            <LinkCode link={link.link} qr={link.qr} onDone={() => setLink(null)} />
          </section>
        )}
        {people === null && refused === '' && (
          <Notice kind="waiting" sentence={t('people.waiting')} />
        )}
        {people === null && refused !== '' && (
          <Notice kind="offline" sentence={refused}>
            <Button onPress={() => void trying(load())}>{t('action.tryAgain')}</Button>
          </Notice>
        )}
        {lost.length > 0 && (
          <LostPhones
            phones={lost}
            nameOf={(id) => people?.find((each) => each.id === id)?.name ?? t('people.someone')}
            onPhones={setLost}
          />
        )}
        <ul>
          {people?.map((person) => (
            <PersonRow
              key={person.id}
              me={me}
              person={person}
              onRole={(role) => change(`/people/${person.id}/role`, 'PUT', { role })}
              onRemove={() => change(`/people/${person.id}`, 'DELETE')}
              onBack={() => void invite({ person: person.id })}
              onLost={() => void trying(load())}
            />
          ))}
        </ul>
        {invites.length > 0 && (
          <section>
            <h2>{t('people.open')}</h2>
            <ul>
              {invites.map((one) => (
                <li key={one.id} class="people-person">
                  <div class="you-row">
                    <span>
                      <bdi class="people-name">{one.name ?? t('people.someone')}</bdi>
                      <span class="quiet">
                        {t('people.until', {
                          role: t(`people.role.${one.role}`),
                          day: dayOf(one.expires_at),
                        })}
                      </span>
                    </span>
                    <Button
                      name={`${t('people.takeBack')}: ${one.name ?? t('people.someone')}`}
                      onPress={() => change(`/invites/${one.id}`, 'DELETE')}
                    >
                      {t('people.takeBack')}
                    </Button>
                  </div>
                  <Messages messages={mailsTo(one.id)} onChange={() => void trying(load())} />
                </li>
              ))}
            </ul>
          </section>
        )}
        {leads(me) && people !== null && (
          <InviteForm me={me} mail={mail.mail} onInvite={(made) => void invite(made)} />
        )}
      </main>
    </>
  );
}
