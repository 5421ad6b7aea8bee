import { useEffect, useState } from 'preact/hooks';
import { api, ask } from '../api/client.ts';
import { Refusal } from '../api/refusal.ts';
import type { components } from '../api/schema.ts';
import type { Me, Person } from '../api/views.ts';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Field } from '../parts/field.tsx';
import { LinkCode } from '../parts/link-code.tsx';
import { Notice } from '../parts/notice.tsx';
import { TopBar } from '../parts/rail.tsx';
import { Gate } from '../sign-in/gate.tsx';
import { leads } from '../sign-in/session.ts';
import { language, t } from '../words/words.ts';
import { Access } from '../you/access.tsx';
import './crew.css';

type Link = components['schemas']['InviteLink'];
type InviteLine = components['schemas']['InviteLine'];
type Role = Me['role'];

/** The company's people: who they are, what they may do, and who is still to come. */
export function Crew() {
  return <Gate>{(me) => <People me={me} />}</Gate>;
}

function People({ me }: { me: Me }) {
  const [people, setPeople] = useState<readonly Person[] | null>(null);
  const [invites, setInvites] = useState<readonly InviteLine[]>([]);
  const [link, setLink] = useState<Link | null>(null);
  const [refused, setRefused] = useState('');
  const trying = (work: Promise<unknown>) =>
    work.then(
      () => setRefused(''),
      (cause) => setRefused(cause instanceof Refusal ? cause.sentence : t('you.offline')),
    );
  const load = () =>
    trying(
      Promise.all([
        api.people().then(setPeople),
        leads(me)
          ? ask<{ invites: InviteLine[] }>('/invites').then((got) => setInvites(got.invites))
          : undefined,
      ]),
    );
  useEffect(() => {
    void load();
  }, []);
  const invite = (body: object) =>
    trying(
      ask<Link>('/invites', {
        method: 'POST',
        body: { ...body, address: `${location.origin}/join` },
      }).then((made) => {
        setLink(made);
        scrollTo(0, 0);
        return load();
      }),
    );
  return (
    <>
      <TopBar title={t('people.title')} back={{ href: '/board', label: t('board.title') }}>
        <bdi>{me.company_name}</bdi>
      </TopBar>
      <main class="crew">
        {refused !== '' && (
          <p class="you-refused" role="alert">
            {refused}
          </p>
        )}
        {link !== null && (
          <section class="crew-link" aria-labelledby="crew-link">
            <h2 id="crew-link">{t('people.link')}</h2>
            <p>{t('people.link.once')}</p>
            <LinkCode link={link.link} qr={link.qr} onDone={() => setLink(null)} />
          </section>
        )}
        {people === null ? (
          refused === '' && <Notice kind="waiting" sentence={t('people.waiting')} />
        ) : (
          <ul>
            {people.map((person) => (
              <PersonRow
                key={person.id}
                me={me}
                person={person}
                onRole={(role) =>
                  void trying(
                    ask(`/people/${person.id}/role`, { method: 'PUT', body: { role } }).then(load),
                  )
                }
                onRemove={() =>
                  void trying(ask(`/people/${person.id}`, { method: 'DELETE' }).then(load))
                }
                onBack={() => void invite({ person: person.id })}
              />
            ))}
          </ul>
        )}
        {invites.length > 0 && (
          <section>
            <h2>{t('people.open')}</h2>
            <ul>
              {invites.map((one) => (
                <li key={one.id} class="you-row">
                  <span>
                    <bdi>{one.name ?? t('people.someone')}</bdi>
                    <span class="quiet">
                      {t('people.until', {
                        role: t(`people.role.${one.role}`),
                        day: new Date(one.expires_at).toLocaleDateString(language.value.tag),
                      })}
                    </span>
                  </span>
                  <Button
                    onPress={() =>
                      void trying(ask(`/invites/${one.id}`, { method: 'DELETE' }).then(load))
                    }
                  >
                    {t('people.takeBack')}
                  </Button>
                </li>
              ))}
            </ul>
          </section>
        )}
        {leads(me) && <InviteForm me={me} onInvite={(body) => void invite(body)} />}
      </main>
    </>
  );
}

function rolesFor(me: Me): readonly Role[] {
  return me.role === 'owner' ? ['installer', 'lead', 'owner'] : ['installer', 'lead'];
}

function PersonRow(props: {
  me: Me;
  person: Person;
  onRole: (role: Role) => void;
  onRemove: () => void;
  onBack: () => void;
}) {
  const { me, person } = props;
  const [open, setOpen] = useState(false);
  const [sure, setSure] = useState(false);
  const mine =
    leads(me) && person.id !== me.person_id && (me.role === 'owner' || person.role !== 'owner');
  const says = person.left === true ? t('people.left') : t(`people.role.${person.role}`);
  return (
    <li class="crew-person">
      <div class="you-row">
        <span>
          <bdi class="crew-name">{person.name}</bdi>
          <span class="quiet">{says}</span>
        </span>
        {mine && (
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
        <div class="crew-opened">
          {person.left !== true && (
            <>
              <Choice<Role>
                label={t('people.role')}
                labelShown
                value={person.role}
                options={rolesFor(me).map((role) => ({
                  value: role,
                  label: t(`people.role.${role}`),
                }))}
                onChoose={props.onRole}
              />
              <Access person={person.id} own={false} />
            </>
          )}
          <div class="you-acts">
            <Button onPress={props.onBack}>{t('people.back')}</Button>
            {person.left !== true && (
              <Button onPress={() => (sure ? props.onRemove() : setSure(true))}>
                {sure ? t('people.remove.sure') : t('people.remove')}
              </Button>
            )}
          </div>
        </div>
      )}
    </li>
  );
}

function InviteForm({ me, onInvite }: { me: Me; onInvite: (body: object) => void }) {
  const [name, setName] = useState('');
  const [role, setRole] = useState<Role>('installer');
  return (
    <section class="crew-opened">
      <h2>{t('people.invite')}</h2>
      <Field label={t('people.invite.name')} value={name} onInput={setName} autocomplete="off" />
      <Choice<Role>
        label={t('people.role')}
        labelShown
        value={role}
        options={rolesFor(me).map((each) => ({ value: each, label: t(`people.role.${each}`) }))}
        onChoose={setRole}
      />
      <Button
        kind="main"
        onPress={() => {
          onInvite({ name: name.trim(), role });
          setName('');
        }}
      >
        {t('people.invite.make')}
      </Button>
    </section>
  );
}
