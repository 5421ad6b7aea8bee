import { useEffect, useRef, useState } from 'preact/hooks';
import { api } from '../api/client.ts';
import { Refusal } from '../api/refusal.ts';
import type { JobView, RefusedView } from '../api/views.ts';
import { Button } from '../parts/button.tsx';
import { Finding } from '../parts/finding.tsx';
import { Words } from '../parts/fraction.tsx';
import { Notice } from '../parts/notice.tsx';
import { PaperLink } from '../parts/paper-link.tsx';
import { query, rename } from '../router.ts';
import { t, type WordKey } from '../words/words.ts';
import { useJob } from './following.ts';
import { JobFrame } from './job-frame.tsx';
import {
  byDay,
  filterOf,
  joined,
  type LogEntry,
  type LogFilter,
  logPage,
  searchOf,
} from './log-pages.ts';
import { crew, personName } from './people.ts';
import { poleAt, roomAt } from './standing.ts';
import { Standstill } from './standstill.tsx';
import { dayOf, hourOf } from './when.ts';
import './log.css';

interface Pages {
  /** Newest first. */
  readonly entries?: readonly LogEntry[];
  readonly more?: boolean;
  readonly offline?: boolean;
  readonly gone?: string;
}

/** The job's log in sentences, newest first, filtered, and what the rules turned back. */
export function Log({ job }: { job: string }) {
  const { shown } = useJob(job);
  const [filter, setFilter] = useState<LogFilter>(() => filterOf(location.search));
  const [pages, setPages] = useState<Pages>({});
  const [refused, setRefused] = useState<readonly RefusedView[]>([]);
  const [asking, setAsking] = useState(false);
  const wanted = useRef(0);
  const seq = shown.view?.seq;

  const load = async (how: LogFilter, before: number, known: readonly LogEntry[]) => {
    wanted.current += 1;
    const mine = wanted.current;
    setAsking(true);
    try {
      const page = await logPage(job, how, before);
      if (mine !== wanted.current) return; // another filter was chosen meanwhile
      setPages((was) => ({
        entries: joined(known, page.entries),
        // The newest page says nothing of how far the older ones go.
        more: before === 0 && known.length > 0 ? (was.more ?? page.more) : page.more,
      }));
    } catch (cause) {
      if (mine !== wanted.current) return;
      if (cause instanceof Refusal && !cause.passing) setPages({ gone: cause.sentence });
      else setPages((was) => ({ ...was, offline: true }));
    }
    setAsking(false);
  };

  useEffect(() => {
    // Something was logged while the page stood open: it comes in at the top.
    if (seq === undefined) return;
    void load(filter, 0, pages.entries ?? []);
    api.refused(job).then(setRefused, () => undefined);
  }, [seq]);

  // A search hit leads to another part of this same log.
  const asked = query.value;
  useEffect(() => {
    const next = filterOf(asked);
    if (searchOf(next) === searchOf(filter)) return;
    setFilter(next);
    void load(next, 0, []);
  }, [asked]);

  const choose = (key: keyof LogFilter, value: string) => {
    const { [key]: _, ...rest } = filter;
    const next = value === '' ? rest : { ...rest, [key]: value };
    setFilter(next);
    rename(location.pathname + searchOf(next));
    void load(next, 0, []);
  };

  const { entries } = pages;
  const last = entries?.at(-1);
  const filtered = Object.keys(filter).length > 0;
  const file = (ending: string) => `/api/v1/jobs/${job}/history.${ending}${searchOf(filter)}`;
  return (
    <JobFrame job={job} here="log" title={t('jobLog.title')} state={shown.view?.name}>
      {entries === undefined || shown.view === undefined ? (
        <Standstill
          shown={pages.offline || pages.gone !== undefined ? pages : shown}
          waiting={t('jobLog.waiting')}
          again={() => void load(filter, 0, [])}
        />
      ) : (
        <div class="log">
          <Filters job={shown.view} filter={filter} onChoose={choose} />
          <p class="log-files">
            <a class="button button-line" href={file('csv')} download>
              {t('jobLog.csv')}
            </a>
            <a class="button button-line" href={file('jsonl')} download>
              {t('jobLog.jsonl')}
            </a>
            <PaperLink href={`/jobs/${job}/log.pdf`} label={t('paper.log')} />
          </p>
          {refused.length > 0 && !filtered && <Refused refused={refused} job={shown.view} />}
          <p class="unseen" role="status">
            {asking ? '' : t('jobLog.count', { count: entries.length })}
          </p>
          {entries.length === 0 && (
            <Notice kind="empty" sentence={t(filtered ? 'jobLog.none' : 'jobLog.empty')} />
          )}
          {byDay(entries).map(([day, list]) => (
            <section key={day} class="log-day">
              <h2 class="log-date">{dayOf(list[0]?.did_at ?? day)}</h2>
              <ol class="log-list" reversed>
                {list.map((entry) => (
                  <Entry key={entry.seq} entry={entry} job={shown.view as JobView} />
                ))}
              </ol>
            </section>
          ))}
          {pages.offline && <Notice kind="offline" slim sentence={t('board.stale')} />}
          {last !== undefined && pages.more && (
            <Button disabled={asking} onPress={() => void load(filter, last.seq, entries)}>
              {t('jobLog.older')}
            </Button>
          )}
        </div>
      )}
    </JobFrame>
  );
}

// What a person looks for in a log; the rest is found by room, opening or stage.
const kinds = [
  'take_reading',
  'cut_pieces',
  'read_gap',
  'answer_check',
  'log_fasteners',
  'treat_holes',
  'sand',
  'log_gap',
  'log_coat',
  'tick_stage',
  'reopen_stage',
  'pass_stop',
  'withdraw',
  'note',
  'add_photo',
  'assign',
  'add_room',
  'add_item',
  'set_item',
  'remove_item',
  'set_rules',
  'set_walls',
  'say_remark',
  'move_remark',
  'sign_off',
  'take_stick',
  'miscut',
] as const;

interface FiltersProps {
  readonly job: JobView;
  readonly filter: LogFilter;
  readonly onChoose: (key: keyof LogFilter, value: string) => void;
}

function Filters({ job, filter, onChoose }: FiltersProps) {
  const rooms = job.rooms;
  const items = rooms
    .filter(({ id }) => filter.room === undefined || id === filter.room)
    .flatMap(({ items: list }) => list);
  const lists: Readonly<Record<keyof LogFilter, readonly { id: string; name: string }[]>> = {
    person: crew.value,
    room: rooms,
    item: items,
    stage: job.stages.map(({ stage, label }) => ({ id: stage, name: label })),
    kind: kinds.map((kind) => ({ id: kind, name: t(`logKind.${kind}` as WordKey) })),
  };
  return (
    <fieldset class="log-filters">
      <legend class="unseen">{t('jobLog.filter')}</legend>
      {(['person', 'room', 'item', 'stage', 'kind'] as const).map((key) => (
        <label key={key}>
          <span>{t(`jobLog.by.${key}`)}</span>
          <select
            value={filter[key] ?? ''}
            onChange={(event) => onChoose(key, event.currentTarget.value)}
          >
            <option value="">{t(`jobLog.all.${key}`)}</option>
            {lists[key].map(({ id, name }) => (
              <option key={id} value={id}>
                {name}
              </option>
            ))}
          </select>
        </label>
      ))}
    </fieldset>
  );
}

function Entry({ entry, job }: { entry: LogEntry; job: JobView }) {
  const pole = entry.item_id === undefined ? undefined : poleAt(job, entry.item_id);
  const room = roomAt(job, pole?.room_id ?? entry.room_id ?? '');
  const words = [hourOf(entry.did_at), personName(entry.person_id), entry.device].filter(
    (word) => word !== null && word !== undefined && word !== '',
  );
  return (
    <li class="entry">
      <span class="entry-seq number">{entry.seq}</span>
      <p class="entry-sentence">
        <Words>{entry.sentence}</Words>
      </p>
      <p class="entry-who">
        {words.join(' · ')}
        {pole !== undefined && (
          <>
            {' · '}
            <a href={`/board/jobs/${job.id}/items/${pole.id}`}>{pole.name}</a>
          </>
        )}
        {room !== undefined && (
          <>
            {pole === undefined ? ' · ' : ', '}
            <a href={`/board/jobs/${job.id}#room-${room.id}`}>{room.name}</a>
          </>
        )}
      </p>
    </li>
  );
}

function Refused({ refused, job }: { refused: readonly RefusedView[]; job: JobView }) {
  const [open, setOpen] = useState(false);
  return (
    <section class="log-refused">
      <Button kind="quiet" expanded={open} onPress={() => setOpen(!open)}>
        {t('jobLog.refused', { count: refused.length })}
      </Button>
      {open && (
        <ul>
          {refused.map(({ command, sentence, findings, at }) => (
            <li key={command.id}>
              <p class="entry-sentence">
                <Words>{sentence}</Words>
              </p>
              <p class="entry-who">
                {[dayOf(at), hourOf(at), poleAt(job, command.item_id ?? '')?.name]
                  .filter((word) => word !== undefined)
                  .join(' · ')}
              </p>
              {findings.map((finding) => (
                <Finding
                  key={`${finding.code}-${finding.about ?? ''}`}
                  severity={finding.severity}
                  sentence={finding.sentence ?? ''}
                  {...(finding.remedy === undefined ? {} : { remedy: finding.remedy })}
                />
              ))}
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}
