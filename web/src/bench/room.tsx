import { useEffect, useState } from 'preact/hooks';
import { jobView, personName, pullJob, watch } from '../live/store.ts';
import { Words } from '../parts/fraction.tsx';
import { Notice } from '../parts/notice.tsx';
import { PaperLink } from '../parts/paper-link.tsx';
import { Pole } from '../parts/pole.tsx';
import { TopBar } from '../parts/rail.tsx';
import { t } from '../words/words.ts';
import { Waiting } from './home.tsx';
import { places } from './places.ts';
import { poleStages } from './pole-stages.ts';
import { RoomPlan, RoomTaping } from './room-plan.tsx';
import { BehindSign, SyncSign, useTitle } from './sign.tsx';
import { when } from './when.ts';
import './home.css';
import './unsent.css';

/** One room: everything in it, whoever it is with. */
export function RoomScreen(props: { job: string; room: string }) {
  const { job } = props;
  const shown = jobView(job).value;
  const room = (shown.view?.rooms ?? []).find(({ id }) => id === props.room);
  useTitle(room?.name ?? '');
  useEffect(() => {
    void pullJob(job);
    return watch(job);
  }, [job]);

  const [taping, setTaping] = useState<string | null>(null);
  const back = { href: places.home, label: t('bench.title') };
  if (shown.view === undefined && shown.gone === undefined) {
    return (
      <>
        <TopBar title="" back={back} />
        <main>
          <Waiting offline={shown.offline === true} again={() => void pullJob(job)} />
        </main>
      </>
    );
  }
  if (room === undefined) {
    return (
      <>
        <TopBar title={t('room.gone')} back={back} />
        <main>
          <Notice kind="gone" sentence={shown.gone ?? t('room.gone.more')} />
        </main>
      </>
    );
  }
  const { plan } = room;
  const unit = shown.view?.unit ?? 'in';
  if (plan !== undefined && taping !== null) {
    return (
      <RoomTaping
        job={job}
        unit={unit}
        room={room}
        plan={plan}
        reading={taping}
        onReading={setTaping}
      />
    );
  }
  return (
    <>
      <TopBar title={room.name} back={back}>
        <SyncSign />
      </TopBar>
      <main class="room">
        <BehindSign shown={shown} />
        <p class="room-where">
          {shown.view?.name}, {room.level_label}
          {room.assigned_to !== undefined && personName(room.assigned_to) !== '' && (
            <> · {personName(room.assigned_to)}</>
          )}
        </p>
        {plan !== undefined && (
          <RoomPlan job={job} unit={unit} room={room} plan={plan} onTape={setTaping} />
        )}
        {room.items.length === 0 && (
          <Notice kind="empty" sentence={t('room.empty')} more={t('room.empty.more')} />
        )}
        <ul class="room-items">
          {room.items.map((item) => (
            <li key={item.id}>
              <a class="room-item" href={places.item(job, item.id)}>
                <Pole size="medium" stages={poleStages(item.marks)} of={item.name} />
                <span class="room-item-words">
                  <span class="room-item-name">{item.name}</span>
                  <span class="room-item-kind">
                    {item.kind_label}
                    {item.assigned_to !== room.assigned_to &&
                      personName(item.assigned_to) !== '' &&
                      `, ${personName(item.assigned_to)}`}
                  </span>
                  <span class={item.held ? 'room-item-says next-held' : 'room-item-says'}>
                    {item.next_label !== undefined && (
                      <strong class="next-stage">{item.next_label}</strong>
                    )}{' '}
                    <Words>{item.sentence ?? t('next.none')}</Words>
                    {item.clears_at !== undefined &&
                      ` ${t('next.clears', { time: when(item.clears_at) })}`}
                  </span>
                </span>
              </a>
            </li>
          ))}
        </ul>
        <p>
          <PaperLink href={`/jobs/${job}/rooms/${room.id}/cut-sheet.pdf`} label={t('paper.cuts')} />
        </p>
        {(room.removed ?? []).length > 0 && (
          <section class="room-removed" aria-labelledby="removed">
            <h2 class="unsent-head" id="removed">
              {t('room.removed')}
            </h2>
            <ul>
              {(room.removed ?? []).map((item) => (
                <li key={item.id}>
                  <a href={places.item(job, item.id)}>{item.name}</a>{' '}
                  <span class="quiet">{item.removal.reason}</span>
                </li>
              ))}
            </ul>
          </section>
        )}
      </main>
    </>
  );
}
