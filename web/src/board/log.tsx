import { useEffect, useState } from 'preact/hooks';
import { api } from '../api/client.ts';
import { Refusal } from '../api/refusal.ts';
import type { EntryView, JobView, RefusedView } from '../api/views.ts';
import { Button } from '../parts/button.tsx';
import { Finding } from '../parts/finding.tsx';
import { Words } from '../parts/fraction.tsx';
import { Notice } from '../parts/notice.tsx';
import { PaperLink } from '../parts/paper-link.tsx';
import { t } from '../words/words.ts';
import { useJob } from './following.ts';
import { JobFrame } from './job-frame.tsx';
import { byDay, older, pageBefore } from './log-pages.ts';
import { crew, personName } from './people.ts';
import { poleAt, roomAt } from './standing.ts';
import { Standstill } from './standstill.tsx';
import { dayOf, hourOf } from './when.ts';
import './log.css';

interface Pages {
  /** Newest first. */
  readonly entries?: readonly EntryView[];
  readonly offline?: boolean;
  readonly gone?: string;
}

/** The job's log in sentences, newest first, and what the rules turned back. */
export function Log({ job }: { job: string }) {
  const { shown } = useJob(job);
  const [pages, setPages] = useState<Pages>({});
  const [refused, setRefused] = useState<readonly RefusedView[]>([]);
  const [asking, setAsking] = useState(false);
  const seq = shown.view?.seq;

  const load = async (through: number, known: readonly EntryView[]) => {
    const page = pageBefore(through);
    setAsking(true);
    try {
      const { entries } = await api.entries(job, page.after, page.limit);
      setPages({ entries: older(known, entries) });
    } catch (cause) {
      if (cause instanceof Refusal && cause.status < 500) setPages({ gone: cause.sentence });
      else setPages((was) => ({ ...was, offline: true }));
    }
    setAsking(false);
  };

  useEffect(() => {
    if (seq === undefined) return;
    const first = pages.entries?.[0];
    if (first === undefined) void load(seq, []);
    else if (first.seq < seq) {
      // Something was logged while the page stood open: it comes in at the top.
      api.entries(job, first.seq, 200).then(
        ({ entries }) =>
          setPages((was) => ({ entries: [...[...entries].reverse(), ...(was.entries ?? [])] })),
        () => undefined,
      );
    }
    api.refused(job).then(setRefused, () => undefined);
    // Asked again only when the log grew, not when an older page was fetched.
  }, [seq]);

  const { entries } = pages;
  const last = entries?.at(-1);
  const again = () => void load(seq ?? 0, []);
  return (
    <JobFrame job={job} here="log" title={t('jobLog.title')} state={shown.view?.name}>
      {entries === undefined || shown.view === undefined ? (
        <Standstill
          shown={pages.offline || pages.gone !== undefined ? pages : shown}
          waiting={t('jobLog.waiting')}
          again={again}
        />
      ) : (
        <div class="log">
          <p>
            <PaperLink href={`/jobs/${job}/log.pdf`} label={t('paper.log')} />
          </p>
          {refused.length > 0 && <Refused refused={refused} job={shown.view} />}
          {entries.length === 0 && <Notice kind="empty" sentence={t('jobLog.empty')} />}
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
          {last !== undefined && last.seq > 1 && (
            <Button disabled={asking} onPress={() => void load(last.seq - 1, entries)}>
              {t('jobLog.older')}
            </Button>
          )}
        </div>
      )}
    </JobFrame>
  );
}

function Entry({ entry, job }: { entry: EntryView; job: JobView }) {
  const pole = entry.item_id === undefined ? undefined : poleAt(job, entry.item_id);
  const room = roomAt(job, pole?.room_id ?? entry.room_id ?? '');
  const where = [pole?.name, room?.name].filter((word) => word !== undefined).join(', ');
  return (
    <li class="entry">
      <span class="entry-seq number">{entry.seq}</span>
      <p class="entry-sentence">
        <Words>{entry.sentence}</Words>
      </p>
      <p class="entry-who">
        {[hourOf(entry.did_at), personName(entry.person_id), where, entry.device]
          .filter((word) => word !== null && word !== undefined && word !== '')
          .join(' · ')}
      </p>
    </li>
  );
}

function Refused({ refused, job }: { refused: readonly RefusedView[]; job: JobView }) {
  const [open, setOpen] = useState(false);
  void crew.value;
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
