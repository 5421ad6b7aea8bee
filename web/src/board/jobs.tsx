import { signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { api } from '../api/client.ts';
import type { JobLine } from '../api/views.ts';
import { jobs, outbox, pullJobs } from '../live/store.ts';
import { Notice } from '../parts/notice.tsx';
import { TopBar } from '../parts/rail.tsx';
import { t } from '../words/words.ts';
import { Rod } from './rod.tsx';
import { Search } from './search.tsx';
import { polesOf, type Tally, tally } from './standing.ts';
import { Stale, Standstill } from './standstill.tsx';
import './job-frame.css';
import './jobs.css';

/** How the jobs stand, as far as heard: the list itself does not say what is held. */
const sums = signal<ReadonlyMap<string, Tally>>(new Map());

async function learnSums(list: readonly JobLine[]): Promise<void> {
  // A crew has few jobs; one at a time leaves a weak signal to what is on the screen.
  for (const { id } of list.slice(0, 12)) {
    try {
      const view = await api.job(id);
      sums.value = new Map(sums.value).set(id, tally(polesOf(view)));
    } catch {
      return; // The list stands without its sums.
    }
  }
}

/** The jobs: few, so each is drawn with how far along it is. */
export function Jobs() {
  const shown = jobs.value;
  const list = shown.view;
  useEffect(() => {
    void pullJobs();
  }, []);
  useEffect(() => {
    if (list !== undefined) void learnSums(list);
  }, [list]);
  return (
    <>
      <TopBar title={t('board.jobs')}>
        {list !== undefined && t('board.jobCount', { count: list.length })}
        {outbox.waiting.value.length > 0 && (
          <span class="job-unsent">{t('sync.unsent', { count: outbox.waiting.value.length })}</span>
        )}
      </TopBar>
      <Search />
      <main class="jobs">
        {list === undefined ? (
          <Standstill
            shown={shown}
            waiting={t('board.jobs.waiting')}
            again={() => void pullJobs()}
          />
        ) : list.length === 0 ? (
          <Notice kind="empty" sentence={t('board.empty')} more={t('board.empty.more')}>
            <a class="button button-main" href="/board/new">
              {t('board.newJob')}
            </a>
          </Notice>
        ) : (
          <>
            <Stale shown={shown} again={() => void pullJobs()} />
            <ul class="jobs-list">
              {list.map((job) => (
                <li key={job.id}>
                  <JobRow job={job} />
                </li>
              ))}
            </ul>
            <a class="button button-main jobs-new" href="/board/new">
              {t('board.newJob')}
            </a>
          </>
        )}
        <p class="jobs-foot">
          <a href="/board/crew">{t('people.title')}</a> <a href="/you">{t('you.title')}</a>
        </p>
      </main>
    </>
  );
}

function JobRow({ job }: { job: JobLine }) {
  const sum = sums.value.get(job.id);
  return (
    <a class="jobs-row" href={`/board/jobs/${job.id}`}>
      <span class="jobs-name">{job.name}</span>
      {job.address !== undefined && job.address !== job.name && (
        <span class="jobs-address">{job.address}</span>
      )}
      <span class="jobs-counts number">
        {t('board.rooms', { count: job.rooms })}, {t('board.openings', { count: job.items })}
      </span>
      {sum !== undefined && sum.total > 0 && (
        <span class="jobs-sum">
          <Rod tally={sum} />
        </span>
      )}
    </a>
  );
}
