import { useEffect, useState } from 'preact/hooks';
import { api } from '../api/client.ts';
import type { EntryView, FindingView, ItemView } from '../api/views.ts';
import { act, itemLog, personName, turnedBackAt } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Field } from '../parts/field.tsx';
import { Finding } from '../parts/finding.tsx';
import { Words } from '../parts/fraction.tsx';
import { PaperLink } from '../parts/paper-link.tsx';
import { leads, me } from '../sign-in/session.ts';
import { t } from '../words/words.ts';
import { sayFinding } from './item-bar.tsx';
import { HouseRulesHere } from './rules.tsx';
import { TakeBack } from './take-back.tsx';
import { when } from './when.ts';
import './more.css';
import './logged.css';

type Opened = 'note' | 'log' | 'rules' | 'remove';

function opens(): readonly Opened[] {
  const all = ['note', 'log', 'rules'] as const;
  // Who plans the house decides what is in it.
  return leads(me()) ? [...all, 'remove'] : all;
}

/** Behind the work: a note, what was logged, what was turned back, the house rules in force. */
export function More(props: { view: ItemView }) {
  const [open, setOpen] = useState<Opened | null>(null);
  const { view } = props;
  const turn = (what: Opened) => setOpen(open === what ? null : what);
  return (
    <section class="more" aria-label={t('more.title')}>
      <div class="more-rows">
        {opens().map((what) => (
          <Button key={what} kind="quiet" expanded={open === what} onPress={() => turn(what)}>
            {what === 'remove' && view.removed !== undefined
              ? t('item.restore')
              : t(`more.${what}`)}
          </Button>
        ))}
        <PaperLink
          href={`/jobs/${view.job_id}/items/${view.id}/card.pdf`}
          label={t('paper.card')}
        />
      </div>
      {open !== null && (
        <div key={open} class="more-opened" ref={comeIntoView}>
          {open === 'note' && <NoteForm view={view} onDone={() => setOpen('log')} />}
          {open === 'log' && <ItemLog view={view} />}
          {open === 'rules' && <HouseRulesHere view={view} />}
          {open === 'remove' && <Remove view={view} />}
        </div>
      )}
    </section>
  );
}

/** What was opened lies below the fold of a phone: it comes up to where it can be read. */
function comeIntoView(opened: HTMLElement | null): void {
  opened?.scrollIntoView({ block: 'start' });
}

/** Takes the opening off the job, or puts it back. The log keeps both. */
function Remove({ view }: { view: ItemView }) {
  const [reason, setReason] = useState('');
  const about = { job: view.job_id, item: view.id };
  if (view.removed !== undefined) {
    return (
      <Button
        kind="main"
        wide
        onPress={() =>
          void act('restore_item', about, {}, { said: t('said.restore', { item: view.name }) })
        }
      >
        {t('item.restore')}
      </Button>
    );
  }
  return (
    <div class="log-form">
      <p>{t('item.remove.more')}</p>
      <Field label={t('item.remove.why')} value={reason} onInput={setReason} />
      <Button
        kind="main"
        wide
        disabled={reason.trim() === ''}
        onPress={() =>
          void act(
            'remove_item',
            about,
            { reason: reason.trim() },
            { said: t('said.remove', { item: view.name }) },
          )
        }
      >
        {t('more.remove')}
      </Button>
    </div>
  );
}

function NoteForm(props: { view: ItemView; onDone: () => void }) {
  const { view } = props;
  const [text, setText] = useState('');
  return (
    <div class="log-form">
      <Field label={t('note.label')} tall value={text} onInput={setText} />
      <Button
        kind="main"
        wide
        disabled={text.trim() === ''}
        onPress={() => {
          void act(
            'note',
            { job: view.job_id, item: view.id },
            { text: text.trim() },
            {
              said: t('said.note', { item: view.name }),
            },
          ).then(props.onDone);
        }}
      >
        {t('note.keep')}
      </Button>
    </div>
  );
}

interface Log {
  readonly entries: readonly EntryView[];
  readonly refused: readonly Tried[];
}

interface Tried {
  readonly id: string;
  readonly sentence: string;
  readonly at: string;
  readonly findings: readonly FindingView[];
}

/** The log as this device holds it, else as the service has it; what was turned back, from both. */
async function readLog(job: string, item: string): Promise<Log> {
  const [held, here, asked] = await Promise.all([
    itemLog(job, item),
    turnedBackAt(item),
    api.refused(job).catch(() => null),
  ]);
  const entries = held ?? [...(await api.itemEntries(job, item)).entries].reverse();
  const there = (asked ?? []).filter(({ command }) => command.item_id === item);
  const known = new Set(there.map(({ command }) => command.id));
  return {
    entries,
    refused: [
      ...here
        .filter(({ id }) => !known.has(id))
        .map(({ id, said, at, findings }) => ({ id, sentence: said, at, findings })),
      ...there.map(({ command, sentence, at, findings }) => ({
        id: command.id,
        sentence,
        at,
        findings,
      })),
    ],
  };
}

function ItemLog(props: { view: ItemView }) {
  const { view } = props;
  const [log, setLog] = useState<Log | 'offline' | null>(null);
  const { job_id: job, id: item, through_seq } = view;
  useEffect(() => {
    let here = true;
    readLog(job, item).then(
      (log) => {
        if (here) setLog(log);
      },
      () => {
        if (here) setLog((had) => had ?? 'offline');
      },
    );
    return () => {
      here = false;
    };
  }, [job, item, through_seq]);

  if (log === null) return <p class="quiet">{t('log.waiting')}</p>;
  if (log === 'offline') return <p class="quiet">{t('log.offline')}</p>;
  return (
    <div class="item-log">
      {log.refused.length > 0 && (
        <section class="log-refused" aria-label={t('log.refused')}>
          <h3>{t('log.refused')}</h3>
          <ul>
            {log.refused.map((each) => (
              <li key={each.id}>
                <p class="log-tried">
                  <Words>{each.sentence}</Words> <span class="quiet">{when(each.at)}</span>
                </p>
                {each.findings.slice(0, 3).map((finding) => (
                  <Finding key={finding.code} {...sayFinding(finding)} />
                ))}
              </li>
            ))}
          </ul>
        </section>
      )}
      <h3>{t('more.log')}</h3>
      <ol class="log-entries">
        {log.entries.map((entry) => (
          <li key={entry.seq} class="log-entry">
            <p>
              <Words>{entry.sentence}</Words>
            </p>
            <p class="quiet">
              {personName(entry.person_id)}, {when(entry.did_at)}
            </p>
            {entry.can_withdraw === true && (entry.person_id === me().person_id || leads(me())) && (
              <TakeBack
                job={job}
                item={item}
                itemName={view.name}
                entry={entry.command_id}
                says={entry.sentence}
              />
            )}
          </li>
        ))}
      </ol>
    </div>
  );
}
