import { useState } from 'preact/hooks';
import type { JobView, PoleView, RoomView } from '../api/views.ts';
import { forgetHouses, jobs, jobView, outbox, pullJob, pullJobs, refusals } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Words } from '../parts/fraction.tsx';
import { Notice } from '../parts/notice.tsx';
import { Pole } from '../parts/pole.tsx';
import { TopBar } from '../parts/rail.tsx';
import { leads, me, signOut } from '../sign-in/session.ts';
import { t } from '../words/words.ts';
import { DeviceSigns } from './device-signs.tsx';
import { useFollowedJobs } from './follow-jobs.ts';
import { places } from './places.ts';
import { poleStages } from './pole-stages.ts';
import { BehindSign, SyncSign, useTitle } from './sign.tsx';
import { today, when } from './when.ts';
import './home.css';

/** Today's rooms: each a floor with this person's poles on it, and what is next at each. */
export function Home() {
  const shown = jobs.value;
  useTitle(t('bench.title'));
  useFollowedJobs();
  return (
    <>
      <TopBar title={today()}>
        <SyncSign />
      </TopBar>
      <main class="home">
        <DeviceSigns />
        <BehindSign shown={shown} />
        {shown.view === undefined ? (
          <Waiting offline={shown.offline === true} again={() => void pullJobs()} />
        ) : (
          <Rooms jobs={shown.view.map(({ id }) => id)} />
        )}
        <Leave />
      </main>
    </>
  );
}

export function Waiting(props: { offline: boolean; again: () => void }) {
  return props.offline ? (
    <Notice kind="offline" sentence={t('bench.offline')} more={t('bench.offline.more')}>
      <Button onPress={props.again}>{t('action.tryAgain')}</Button>
    </Notice>
  ) : (
    <Notice kind="waiting" sentence={t('bench.waiting')} />
  );
}

interface MyRoom {
  readonly job: JobView;
  readonly room: RoomView;
  readonly items: readonly PoleView[];
}

function Rooms(props: { jobs: readonly string[] }) {
  const views = props.jobs.map((job) => jobView(job).value);
  const waiting = views.some(({ view, gone }) => view === undefined && gone === undefined);
  const mine = views.flatMap(({ view }) => (view === undefined ? [] : roomsOf(view)));
  if (mine.length > 0) {
    return (
      <>
        {mine.map((each) => (
          <RoomPicture key={each.room.id} {...each} many={props.jobs.length > 1} />
        ))}
        <nav class="home-saw">
          {[...new Set(mine.map(({ job }) => job))].map((job) => (
            <a key={job.id} class="button button-line" href={`/saw/jobs/${job.id}`}>
              {props.jobs.length > 1 ? t('bench.sawOf', { job: job.name }) : t('saw.title')}
            </a>
          ))}
        </nav>
      </>
    );
  }
  if (waiting) {
    return (
      <Waiting
        offline={views.some(({ offline }) => offline === true)}
        again={() => {
          for (const job of props.jobs) void pullJob(job);
        }}
      />
    );
  }
  return leads(me()) ? (
    <Notice kind="empty" sentence={t('bench.empty.lead')} more={t('bench.empty.lead.more')}>
      <a class="button button-line" href="/board">
        {t('bench.toBoard')}
      </a>
    </Notice>
  ) : (
    <Notice kind="empty" sentence={t('bench.empty')} more={t('bench.empty.more')} />
  );
}

function roomsOf(job: JobView): MyRoom[] {
  const person = me().person_id;
  return (job.rooms ?? []).flatMap((room) => {
    const items = room.items.filter(({ assigned_to }) => assigned_to === person);
    return items.length === 0 ? [] : [{ job, room, items }];
  });
}

function RoomPicture(props: MyRoom & { many: boolean }) {
  const { job, room, items } = props;
  return (
    <section class="room-picture" aria-labelledby={`room-${room.id}`}>
      <h2 class="home-room" id={`room-${room.id}`}>
        <a href={places.room(job.id, room.id)}>{room.name}</a>
        <span class="room-level">
          {props.many ? `${job.name}, ${room.level_label}` : room.level_label}
        </span>
      </h2>
      <ul class="room-floor">
        {items.map((item) => (
          <li key={item.id}>
            <a class="room-stand" href={placeOf(job.id, item)}>
              <Pole size="medium" stages={poleStages(item.marks)} of={item.name} />
              <span class="room-stand-name" aria-hidden="true">
                {item.name}
              </span>
            </a>
          </li>
        ))}
      </ul>
      <ul class="next-lines">
        {items
          .filter(({ next }) => next !== undefined)
          .sort((a, b) => a.turn - b.turn)
          .map((item) => (
            <li key={item.id}>
              <a class={`next-line ${item.held ? 'next-held' : ''}`} href={placeOf(job.id, item)}>
                <span class="next-of">
                  {item.name}
                  <span class="next-stage">{item.next_label}</span>
                </span>
                {refusals.value.some(({ command }) => command.item_id === item.id) && (
                  <span class="next-refused">{t('refused.here')}</span>
                )}
                <span class="next-says">
                  <Words>{item.sentence ?? ''}</Words>
                  {item.clears_at !== undefined && (
                    <span class="next-clears">
                      {' '}
                      {t('next.clears', { time: when(item.clears_at) })}
                    </span>
                  )}
                </span>
              </a>
            </li>
          ))}
      </ul>
      {items.every(({ next }) => next === undefined) && <p class="next-none">{t('next.none')}</p>}
    </section>
  );
}

function placeOf(job: string, item: PoleView): string {
  return places.item(job, item.id);
}

function Leave() {
  const count = outbox.waiting.value.length;
  const [stays, setStays] = useState(false);
  const leave = async () => {
    const { person_id } = me();
    try {
      await signOut();
      await forgetHouses(person_id);
    } catch {
      setStays(true);
    }
  };
  return (
    <footer class="home-foot">
      <p class="quiet">
        {[me().name, me().company_name].filter(Boolean).join(', ')}.
        {count > 0 && ` ${t('signin.keeps')}`}
      </p>
      {stays && (
        <p class="quiet" role="alert">
          {t('signin.leave.offline')}
        </p>
      )}
      <div class="home-foot-acts">
        <a href="/you">{t('you.title')}</a>
        {leads(me()) && <a href="/board">{t('bench.toBoard')}</a>}
        <Button kind="quiet" onPress={() => void leave()}>
          {t('signin.leave')}
        </Button>
      </div>
    </footer>
  );
}
