import type { ComponentChildren } from 'preact';
import { outbox } from '../live/store.ts';
import { Rail, TopBar } from '../parts/rail.tsx';
import { goTo } from '../router.ts';
import { t } from '../words/words.ts';
import { useKeys } from './keys.ts';
import { Search } from './search.tsx';
import './job-frame.css';

export type JobPlace = 'board' | 'saw' | 'set-up' | 'rules' | 'walks' | 'log';

export interface JobFrameProps {
  readonly job: string;
  readonly here: JobPlace;
  readonly title: string;
  /** A short word beside the title: the address, the sum. */
  readonly state?: ComponentChildren;
  /** Where back leads, when not to the list of jobs. */
  readonly back?: { readonly href: string; readonly label: string };
  readonly children: ComponentChildren;
}

export function jobHref(job: string, place: JobPlace = 'board'): string {
  if (place === 'saw') return `/saw/jobs/${job}`;
  return place === 'board' ? `/board/jobs/${job}` : `/board/jobs/${job}/${place}`;
}

/** A job's places, and the way back to the others. */
export function JobFrame(props: JobFrameProps) {
  const places = (['board', 'saw', 'set-up', 'rules', 'walks', 'log'] as const).map((place) => ({
    href: jobHref(props.job, place),
    label: t(`board.place.${place}`),
    here: place === props.here,
  }));
  useKeys({
    b: () => goTo(jobHref(props.job)),
    s: () => goTo(jobHref(props.job, 'set-up')),
    l: () => goTo(jobHref(props.job, 'log')),
  });
  const unsent = outbox.waiting.value.length;
  return (
    <div class="job-frame">
      <TopBar title={props.title} back={props.back ?? { href: '/board', label: t('board.jobs') }}>
        {props.state}
        {unsent > 0 && <span class="job-unsent">{t('sync.unsent', { count: unsent })}</span>}
      </TopBar>
      <Rail label={t('board.places')} places={places} />
      <div class="job-main">
        <Search />
        <main>{props.children}</main>
      </div>
    </div>
  );
}
