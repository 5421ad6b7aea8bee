import { useEffect, useState } from 'preact/hooks';
import { ask } from '../api/client.ts';
import { Refusal } from '../api/refusal.ts';
import type { components } from '../api/schema.ts';
import type { JobView } from '../api/views.ts';
import { askOnceSent } from '../live/ask-once-sent.ts';
import { outbox } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Field } from '../parts/field.tsx';
import { Words } from '../parts/fraction.tsx';
import { LinkCode } from '../parts/link-code.tsx';
import { Notice } from '../parts/notice.tsx';
import { PaperLink } from '../parts/paper-link.tsx';
import { t } from '../words/words.ts';
import { useJob } from './following.ts';
import { JobFrame } from './job-frame.tsx';
import { type MessageLine, type MessageList, Messages } from './messages.tsx';
import { sameId } from './same-id.ts';
import { Standstill } from './standstill.tsx';
import { ContactFields, WalkContacts } from './walk-contacts.tsx';
import { WalkRemark } from './walk-remark.tsx';
import { dayOf } from './when.ts';
import './walks.css';

type WalkLine = components['schemas']['WalkLine'];
type WalkLink = components['schemas']['WalkLink'];
type Contacts = components['schemas']['WalkContacts'];
type LookAt = components['schemas']['LookAt'];

interface Walks {
  readonly walks?: readonly WalkLine[];
  readonly offline?: boolean;
  readonly gone?: string;
}

/** A job's walkthroughs: what the homeowner said, what is answered, and the link they come by. */
export function WalksScreen({ job }: { job: string }) {
  const { shown } = useJob(job);
  const [got, setGot] = useState<Walks>({});
  const [link, setLink] = useState<WalkLink | null>(null);
  const [mail, setMail] = useState<MessageList | null>(null);
  const seq = shown.view?.seq;
  const waiting = outbox.waiting.value.length;
  const load = () =>
    ask<{ walks: WalkLine[] }>(`/jobs/${job}/walks`).then(
      ({ walks }) => setGot({ walks }),
      (cause) => {
        if (cause instanceof Refusal && !cause.passing) setGot({ gone: cause.sentence });
        else setGot((was) => ({ ...was, offline: true }));
      },
    );
  // Beside the walkthroughs: without an answer the screen is whole but for what became of e-mails.
  const loadMail = () => ask<MessageList>(`/messages?job=${job}`).then(setMail, () => undefined);
  useEffect(() => {
    void load();
    void loadMail();
    // Asked again whenever the job's log grew, and when what was done here has got there.
  }, [job, seq, waiting]);

  const { view } = shown;
  return (
    <JobFrame job={job} here="walks" title={t('walks.title')} state={view?.name}>
      {got.walks === undefined || view === undefined ? (
        <Standstill
          shown={got.offline || got.gone !== undefined ? got : shown}
          waiting={t('walks.waiting')}
          again={() => void load()}
        />
      ) : (
        <div class="walks">
          {link !== null && <Link link={link} mail={mail} onRead={() => setLink(null)} />}
          {got.walks.length === 0 && (
            <Notice kind="empty" sentence={t('walks.none')} more={t('walks.none.more')} />
          )}
          {got.walks.map((walk, at, all) => (
            <Walk
              key={walk.id}
              job={view}
              walk={walk}
              number={all.length - at}
              messages={mail?.messages.filter(({ about_id }) => about_id === walk.id) ?? []}
              mail={mail?.mail}
              onMail={() => void loadMail()}
              onLink={(made) => {
                setLink(made);
                void loadMail();
                scrollTo(0, 0);
              }}
              onChange={() => {
                void load();
                void loadMail();
              }}
            />
          ))}
          <Unheard messages={mail?.messages ?? []} onChange={() => void loadMail()} />
          <OpenWalk
            job={view}
            mail={mail?.mail}
            onLink={(made) => {
              setLink(made);
              void load();
              void loadMail();
              scrollTo(0, 0);
            }}
          />
        </div>
      )}
    </JobFrame>
  );
}

/** Work that a phone was to tell of and did not; what is about a walkthrough stands with it. */
function Unheard(props: { messages: readonly MessageLine[]; onChange: () => void }) {
  const lost = props.messages.filter(
    ({ kind, state }) => kind === 'push_work' && state === 'failed',
  );
  if (lost.length === 0) return null;
  return (
    <section class="walk-one" aria-labelledby="walk-unheard">
      <h2 id="walk-unheard">{t('walks.push.others')}</h2>
      <Messages messages={lost} onChange={props.onChange} />
    </section>
  );
}

/** Where the homeowner's page is, on the same address as this one. */
const walkPage = () => `${location.origin}/walk`;

/** The link, once: only its hash is kept. To be shown, sent or scanned. */
function Link({
  link,
  mail,
  onRead,
}: {
  link: WalkLink;
  mail: MessageList | null;
  onRead: () => void;
}) {
  const sent = mail?.messages.find(
    ({ about_id, kind, state }) =>
      about_id === link.walk_id && kind === 'walk_ready' && state !== 'overtaken',
  );
  return (
    <section class="walk-link" aria-labelledby="walk-link">
      <h2 id="walk-link">{t('walks.link')}</h2>
      <p>{t('walks.link.once', { day: dayOf(link.expires_at) })}</p>
      {mail !== null && (
        <p>
          {sent === undefined
            ? t('walks.mail.byHand')
            : t('walks.mail.too', { email: sent.email ?? '' })}
        </p>
      )}
      <LinkCode link={link.link} qr={link.qr} onDone={onRead} />
    </section>
  );
}

interface WalkProps {
  readonly job: JobView;
  readonly walk: WalkLine;
  /** Which of the job's it is, the first opened being 1. */
  readonly number: number;
  /** The e-mails about it. */
  readonly messages: readonly MessageLine[];
  /** Whether e-mail is sent here; unknown without an answer. */
  readonly mail: boolean | undefined;
  readonly onMail: () => void;
  readonly onLink: (link: WalkLink) => void;
  readonly onChange: () => void;
}

function Walk(props: WalkProps) {
  const { job, walk, onLink, onChange } = props;
  const [refused, setRefused] = useState<string>();
  const remarks = walk.rooms.flatMap((room) => room.remarks.map((remark) => ({ room, remark })));
  const ours = remarks.filter(({ remark }) => remark.state === 'said');
  const rest = remarks.filter(({ remark }) => remark.state !== 'said');
  const trying = (work: Promise<unknown>) =>
    work.then(
      () => setRefused(undefined),
      (cause) => setRefused(cause instanceof Refusal ? cause.sentence : t('walks.noSignal')),
    );
  const newLink = () =>
    trying(
      ask<WalkLink>(`/jobs/${job.id}/walks/${walk.id}/link`, {
        method: 'POST',
        body: { address: walkPage() },
      }).then(onLink),
    );
  const endLink = () =>
    trying(ask(`/jobs/${job.id}/walks/${walk.id}/link`, { method: 'DELETE' }).then(onChange));
  return (
    <section
      class="walk-one"
      aria-label={t('walks.of', { name: walk.guest_name, number: props.number })}
    >
      <h2>{walk.guest_name}</h2>
      <p class="walk-one-says">
        {t(`walks.state.${walk.state}`, { day: dayOf(walk.expires_at) })}{' '}
        {walk.signed !== undefined &&
          t('walks.signed', { name: walk.signed.name, day: dayOf(walk.signed.at) })}{' '}
        {walk.open.length === 0
          ? t('walks.noneOpen')
          : t('walks.open', { count: walk.open.length })}
      </p>
      {walk.signed !== undefined && (
        <svg class="walk-hand" viewBox="0 0 1000 400" role="img" aria-label={t('walks.hand')}>
          <path d={walk.signed.strokes} />
        </svg>
      )}
      <Messages messages={props.messages} onChange={props.onMail} />
      {remarks.length === 0 && <p>{t('walks.nothingSaid')}</p>}
      {ours.length > 0 && <h3>{t('walks.answer', { count: ours.length })}</h3>}
      <ul class="walk-remarks">
        {[...ours, ...rest].map(({ room, remark }) => (
          <WalkRemark
            key={remark.id}
            job={job}
            walk={walk.id}
            room={room.name}
            remark={remark}
            drawing={room.items.find(({ id }) => id === remark.item_id)?.drawing}
            onDone={onChange}
          />
        ))}
      </ul>
      {refused !== undefined && (
        <p class="turned-down" role="alert">
          {refused}
        </p>
      )}
      <p>
        <PaperLink
          href={`/jobs/${job.id}/walks/${walk.id}/punch-list.pdf`}
          label={t('paper.punch')}
        />
        <PaperLink href={`/jobs/${job.id}/walks/${walk.id}/record.pdf`} label={t('paper.record')} />
      </p>
      {walk.state !== 'sealed' && (
        <div class="walk-acts no-print">
          <Button kind="quiet" onPress={() => void newLink()}>
            {t('walks.newLink')}
          </Button>
          <Button kind="quiet" onPress={() => void endLink()}>
            {t('walks.endLink')}
          </Button>
          <WalkContacts job={job.id} walk={walk.id} mail={props.mail} onDone={onChange} />
        </div>
      )}
    </section>
  );
}

/** Opening one: for whom, through which rooms, and what to look at first. */
function OpenWalk({
  job,
  mail,
  onLink,
}: {
  job: JobView;
  /** Whether e-mail is sent here; unknown without an answer. */
  mail: boolean | undefined;
  onLink: (link: WalkLink) => void;
}) {
  const [name, setName] = useState('');
  const [contacts, setContacts] = useState<Contacts>({ language: 'en' });
  const [days, setDays] = useState<'7' | '14' | '30'>('14');
  const [passphrase, setPassphrase] = useState('');
  const [left, setLeft] = useState<readonly string[]>([]);
  const [wanting, setWanting] = useState(false);
  const [refused, setRefused] = useState<string>();
  const [looks, setLooks] = useState<readonly LookAt[]>([]);
  const [sending, setSending] = useState(false);
  const [ids] = useState(sameId);
  const rooms = job.rooms.map(({ id }) => id).filter((id) => !left.includes(id));
  const asked = rooms.map((id) => `room=${id}`).join('&');
  useEffect(() => {
    if (rooms.length === 0) {
      setLooks([]);
      return;
    }
    ask<{ look_at: LookAt[] }>(`/jobs/${job.id}/pre-walk?${asked}`).then(
      ({ look_at }) => setLooks(look_at),
      () => undefined,
    );
  }, [job.id, job.seq, asked]);
  const open = async () => {
    if (name.trim() === '' || rooms.length === 0) return setWanting(true);
    const { language, email = '', lead_email: own = '' } = contacts;
    setSending(true);
    try {
      const asked = {
        guest_name: name.trim(),
        language,
        days: Number(days),
        address: walkPage(),
        ...(left.length === 0 ? {} : { rooms }),
        ...(email.trim() === '' ? {} : { email: email.trim() }),
        ...(own.trim() === '' ? {} : { lead_email: own.trim() }),
        ...(passphrase.trim() === '' ? {} : { passphrase: passphrase.trim() }),
      };
      const made = await askOnceSent<WalkLink>(job.id, `/jobs/${job.id}/walks`, {
        method: 'POST',
        body: { walk_id: ids.of(asked), ...asked },
      });
      ids.answered();
      setName('');
      setContacts({ ...contacts, email: '' });
      setPassphrase('');
      setWanting(false);
      setRefused(undefined);
      onLink(made);
    } catch (cause) {
      setRefused(cause instanceof Refusal ? cause.sentence : t('walks.noSignal'));
    } finally {
      setSending(false);
    }
  };
  return (
    <section class="walk-open-form no-print" aria-labelledby="walk-open">
      <h2 id="walk-open">{t('walks.openOne')}</h2>
      <Field
        label={t('walks.guest')}
        hint={t('walks.guest.hint')}
        value={name}
        onInput={setName}
        {...(wanting && name.trim() === '' ? { refused: t('walks.guest.needed') } : {})}
      />
      <ContactFields
        mail={mail}
        contacts={contacts}
        onChange={(changed) => setContacts({ ...contacts, ...changed })}
      />
      <Choice
        label={t('walks.days')}
        labelShown
        value={days}
        options={(['7', '14', '30'] as const).map((value) => ({
          value,
          label: t('walks.daysLong', { count: Number(value) }),
        }))}
        onChoose={setDays}
      />
      <Field
        label={t('walks.passphrase')}
        hint={t('walks.passphrase.hint')}
        value={passphrase}
        onInput={setPassphrase}
        autocomplete="off"
      />
      <fieldset class="walk-rooms">
        <legend>{t('walks.rooms')}</legend>
        {job.rooms.map((room) => (
          <label key={room.id} class="walk-room">
            <input
              type="checkbox"
              checked={!left.includes(room.id)}
              onChange={(event) =>
                setLeft(
                  event.currentTarget.checked
                    ? left.filter((id) => id !== room.id)
                    : [...left, room.id],
                )
              }
            />
            {room.name}
          </label>
        ))}
        {wanting && rooms.length === 0 && (
          <p class="turned-down" role="alert">
            {t('walks.rooms.needed')}
          </p>
        )}
      </fieldset>
      {looks.length > 0 && <LookFirst looks={looks} />}
      {refused !== undefined && (
        <p class="turned-down" role="alert">
          {refused}
        </p>
      )}
      <Button kind="main" disabled={sending} onPress={() => void open()}>
        {t('walks.makeLink')}
      </Button>
    </section>
  );
}

/** The crew's own walk before the homeowner's: what the log says somebody will see. */
function LookFirst({ looks }: { looks: readonly LookAt[] }) {
  return (
    <section class="walk-looks" aria-labelledby="walk-looks">
      <h3 id="walk-looks">{t('walks.lookFirst', { count: looks.length })}</h3>
      <ul>
        {looks.map((look) => (
          <li key={`${look.item_id} ${look.code} ${look.sentence}`}>
            <strong>
              {look.room_name}
              {look.item_name !== undefined && <>, {look.item_name}</>}.
            </strong>{' '}
            <Words>{look.sentence}</Words> <Words>{look.remedy}</Words>
          </li>
        ))}
      </ul>
    </section>
  );
}
