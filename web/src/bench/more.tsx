import { useEffect, useState } from 'preact/hooks';
import { api } from '../api/client.ts';
import type { EntryView, ItemView, RefusedView } from '../api/views.ts';
import { act, personName } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Field } from '../parts/field.tsx';
import { Finding } from '../parts/finding.tsx';
import { Words } from '../parts/fraction.tsx';
import { leads, me } from '../sign-in/session.ts';
import { t } from '../words/words.ts';
import { sayFinding } from './item-bar.tsx';
import { HouseRulesHere } from './rules.tsx';
import { TakeBack } from './take-back.tsx';
import { when } from './when.ts';
import './more.css';
import './logged.css';

/** Behind the work: a note, what was logged, what was turned back, the house rules in force. */
export function More(props: { view: ItemView }) {
  const [open, setOpen] = useState<'note' | 'log' | 'rules' | null>(null);
  const { view } = props;
  const turn = (what: 'note' | 'log' | 'rules') => setOpen(open === what ? null : what);
  return (
    <section class="more" aria-label={t('more.title')}>
      <div class="more-rows">
        {(['note', 'log', 'rules'] as const).map((what) => (
          <Button key={what} kind="quiet" expanded={open === what} onPress={() => turn(what)}>
            {t(`more.${what}`)}
          </Button>
        ))}
      </div>
      {open !== null && (
        <div key={open} class="more-opened" ref={comeIntoView}>
          {open === 'note' && <NoteForm view={view} onDone={() => setOpen('log')} />}
          {open === 'log' && <ItemLog view={view} />}
          {open === 'rules' && <HouseRulesHere view={view} />}
        </div>
      )}
    </section>
  );
}

/** What was opened lies below the fold of a phone: it comes up to where it can be read. */
function comeIntoView(opened: HTMLElement | null): void {
  opened?.scrollIntoView({ block: 'start' });
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
  readonly refused: readonly RefusedView[];
}

function ItemLog(props: { view: ItemView }) {
  const { view } = props;
  const [log, setLog] = useState<Log | 'offline' | null>(null);
  const { job_id: job, id: item, through_seq } = view;
  useEffect(() => {
    let here = true;
    Promise.all([api.itemEntries(job, item), api.refused(job)]).then(
      ([list, refused]) => {
        if (!here) return;
        setLog({
          entries: [...list.entries].reverse(),
          refused: refused.filter(({ command }) => command.item_id === item),
        });
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
              <li key={each.command.id}>
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
