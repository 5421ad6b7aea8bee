import { useEffect, useRef, useState } from 'preact/hooks';
import type { JobView } from '../api/views.ts';
import { pullJob } from '../live/store.ts';
import { Notice } from '../parts/notice.tsx';
import { goTo } from '../router.ts';
import { t } from '../words/words.ts';
import { changeWords } from './change-words.ts';
import type { Change } from './changes.ts';
import { useJob } from './following.ts';
import { JobFrame, jobHref } from './job-frame.tsx';
import { Lists } from './lists.tsx';
import { Rod } from './rod.tsx';
import { RoomStrip } from './room-strip.tsx';
import { poleAt, polesOf, roomAt, tally } from './standing.ts';
import { Stale, Standstill } from './standstill.tsx';
import { Strip } from './strip.tsx';
import type { Place } from './walk.ts';
import { Wall } from './wall.tsx';
import { dayOf } from './when.ts';
import './rooms.css';

/** The board of a job: the house in section, what is held and why, what can go on. */
export function Rooms({ job }: { job: string }) {
  const { shown, changes } = useJob(job);
  const again = () => void pullJob(job);
  const view = shown.view;
  return (
    <JobFrame
      job={job}
      here="board"
      title={view?.name ?? t('board.title')}
      state={view !== undefined && view.address !== view.name ? view.address : undefined}
    >
      {view === undefined ? (
        <Standstill shown={shown} waiting={t('board.job.waiting')} again={again} />
      ) : (
        <>
          <Stale shown={shown} again={again} />
          {view.rooms.length === 0 ? (
            <Notice kind="empty" sentence={t('board.noRooms')} more={t('board.noRooms.more')}>
              <a class="button button-main" href={jobHref(job, 'set-up')}>
                {t('board.addRooms')}
              </a>
            </Notice>
          ) : (
            <House job={view} changes={changes} />
          )}
        </>
      )}
    </JobFrame>
  );
}

function House({ job, changes }: { job: JobView; changes: readonly Change[] }) {
  const [selected, setSelected] = useState<Place | null>(null);
  const strip = useRef<HTMLElement>(null);
  const opener = useRef<HTMLElement | null>(null);
  const sum = tally(polesOf(job));

  const select = (place: Place | null, open: boolean) => {
    if (place === null) {
      const back = selected;
      setSelected(null);
      focusPlace(back, opener.current);
      opener.current = null;
      return;
    }
    setSelected(place);
    bringUp(place);
    if (open) {
      opener.current =
        document.activeElement instanceof HTMLElement ? document.activeElement : null;
      requestAnimationFrame(() => strip.current?.focus({ preventScroll: true }));
    }
  };

  useEffect(() => {
    const onKey = (event: KeyboardEvent) => {
      if (event.key !== 'Escape' || event.defaultPrevented || selected === null) return;
      // A reason being written is not put away by a slip of the finger.
      if (event.target instanceof HTMLTextAreaElement && event.target.value !== '') return;
      select(null, false);
    };
    document.addEventListener('keydown', onKey);
    return () => document.removeEventListener('keydown', onKey);
  });

  const pole = selected?.kind === 'pole' ? poleAt(job, selected.id) : undefined;
  const room = selected?.kind === 'room' ? roomAt(job, selected.id) : undefined;
  const close = () => select(null, false);
  return (
    <div class={selected === null ? 'house' : 'house house-chosen'}>
      <div class="house-wall">
        <div class="house-sum">
          {sum.total > 0 && <Rod tally={sum} />}
          <a class="house-forecast" href={`${jobHref(job.id)}/forecast`}>
            {t('forecast.title')}
          </a>
          <p class="house-printed">
            {t('board.printed', { time: dayOf(new Date().toISOString()) })}
          </p>
          <Latest changes={changes} />
        </div>
        <Wall job={job} selected={selected} fresh={changes} onSelect={select} />
      </div>
      <section
        class={`house-side ${selected === null ? '' : 'house-side-up'}`}
        ref={strip}
        tabIndex={-1}
        aria-label={pole?.name ?? room?.name ?? t('board.side')}
      >
        {pole !== undefined ? (
          <Strip key={pole.id} job={job} pole={pole} onClose={close} />
        ) : room !== undefined ? (
          <RoomStrip
            key={room.id}
            job={job}
            room={room}
            onClose={close}
            onAdd={() => goTo(`/board/jobs/${job.id}/rooms/${room.id}/new`)}
          />
        ) : null}
        <div class={selected === null ? 'house-lists' : 'house-lists house-lists-under'}>
          <Lists job={job} onSelect={(id) => select({ kind: 'pole', id }, true)} />
        </div>
      </section>
    </div>
  );
}

/** The newest change in one quiet line; those who hear the board are told as it comes. */
function Latest({ changes }: { changes: readonly Change[] }) {
  return (
    <p class="house-latest" role="status">
      {changes.slice(0, 2).map((change) => (
        <span key={`${change.id}-${change.seq}-${change.what}`} class="house-change">
          <ChangeLine change={change} />
        </span>
      ))}
    </p>
  );
}

function ChangeLine({ change }: { change: Change }) {
  return (
    <>
      <b>{change.name}</b> {changeWords(change)}
    </>
  );
}

/** On a phone the strip covers the lower part: what was chosen is brought above it. */
function bringUp(place: Place): void {
  if (!matchMedia('(max-width: 899px)').matches) return;
  requestAnimationFrame(() => {
    document
      .querySelector(`[data-place="${place.kind}:${place.id}"]`)
      ?.closest('.wall-row')
      ?.scrollIntoView({ block: 'start' });
  });
}

function focusPlace(place: Place | null, before: HTMLElement | null): void {
  requestAnimationFrame(() => {
    if (before?.isConnected && before.closest('.house-lists') !== null) {
      before.focus();
      return;
    }
    if (place === null) return;
    document
      .querySelector<HTMLElement>(`[data-place="${place.kind}:${place.id}"]`)
      ?.focus({ preventScroll: true });
  });
}
