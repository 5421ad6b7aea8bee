import { asList, isDrawn } from '../bench/as-list.ts';
import { Drawing } from '../parts/drawing.tsx';
import { Words } from '../parts/fraction.tsx';
import { Notice } from '../parts/notice.tsx';
import { t } from '../words/words.ts';
import type { Remark, WalkItem, WalkPage, WalkRoom } from './door.ts';
import { Papers } from './papers.tsx';
import { address, go } from './place.ts';
import { language, speakIn, unsent } from './visit.ts';
import { day } from './when.ts';

/** A remark that the homeowner has the next word on. */
export function isTheirs({ state }: Remark): boolean {
  return state === 'fixed' || state === 'asked' || state === 'declined';
}

/** The whole house: what asks something of them first, then room by room, then the signature. */
export function RoomsScreen({ page }: { page: WalkPage }) {
  const { view } = page;
  const theirs = view.rooms.flatMap(({ remarks }) => remarks.filter(isTheirs));
  const left = view.rooms.filter((room) => room.signed === undefined).length;
  return (
    <>
      <header class="walk-head">
        <p class="walk-crew">{page.company_name}</p>
        <h1>{view.job_name}</h1>
        <p class="walk-hello">
          {view.state === 'going' && t('walk.hello', { name: page.guest_name })}
          {view.state === 'over' && t('walk.over')}
          {view.state === 'sealed' && t('walk.sealed', { name: view.signed?.name ?? '' })}
        </p>
      </header>
      {theirs.length > 0 && (
        <section aria-labelledby="walk-theirs">
          <h2 id="walk-theirs">{t('walk.theirs', { count: theirs.length })}</h2>
          <ul class="walk-list">
            {theirs.map((remark) => (
              <RemarkLine key={remark.id} remark={remark} />
            ))}
          </ul>
        </section>
      )}
      <section aria-labelledby="walk-rooms">
        <h2 id="walk-rooms">{t('walk.rooms')}</h2>
        <ul class="walk-list">
          {view.rooms.map((room) => (
            <li key={room.id}>
              <a class="walk-line" href={address({ at: 'room', room: room.id })} target="_self">
                <span class="walk-line-name">{room.name}</span>
                <span class="walk-line-says">{saysOf(room)}</span>
                <Chevron />
              </a>
            </li>
          ))}
        </ul>
      </section>
      {view.state === 'going' && (
        <p class="walk-foot">
          <a class="walk-step" href={address({ at: 'sign', room: null })} target="_self">
            {t('walk.sign.whole')}
          </a>
          {left > 0 && <span class="walk-small">{t('walk.sign.left', { count: left })}</span>}
        </p>
      )}
      {(view.signed !== undefined ||
        view.rooms.some(({ signed, remarks }) => signed !== undefined || remarks.length > 0)) && (
        <Papers
          signed={
            view.signed !== undefined || view.rooms.some(({ signed }) => signed !== undefined)
          }
        />
      )}
      <footer class="walk-small walk-end">
        <p>{t('walk.until', { day: day(view.expires_at) })}</p>
        <p>
          <button
            type="button"
            class="walk-language"
            lang={language.value === 'en' ? 'es' : 'en'}
            onClick={() => speakIn(language.value === 'en' ? 'es' : 'en')}
          >
            {t('walk.otherLanguage')}
          </button>
        </p>
      </footer>
    </>
  );
}

function saysOf(room: WalkRoom): string {
  if (room.signed !== undefined) return t('walk.room.signed', { name: room.signed.name });
  const said =
    room.remarks.filter(({ state }) => state !== 'taken_back').length + waitingIn(room.id);
  return said === 0
    ? t('walk.room.look', { count: room.items.length })
    : t('walk.room.said', { count: said });
}

function waitingIn(room: string): number {
  return unsent.value.filter(({ kind, room_id }) => kind === 'say_remark' && room_id === room)
    .length;
}

/** One room from above, what is in it, and what has been said there. */
export function RoomScreen(props: { page: WalkPage; room: string }) {
  const { view } = props.page;
  const room = view.rooms.find(({ id }) => id === props.room);
  if (room === undefined) {
    return (
      <>
        <Notice kind="gone" sentence={t('walk.room.gone')} />
        <Back />
      </>
    );
  }
  const going = view.state === 'going';
  const waiting = unsent.value.filter(
    ({ kind, room_id }) => kind === 'say_remark' && room_id === room.id,
  );
  return (
    <>
      <header class="walk-head">
        <p class="walk-crew">{room.level_label}</p>
        <h1>{room.name}</h1>
        {going && <p class="walk-hello">{t('walk.room.hello')}</p>}
      </header>
      {room.plan !== undefined && isDrawn(room.plan) && (
        <div class="walk-plan">
          <Drawing
            list={asList(room.plan)}
            {...(going
              ? { onTouch: (item: string) => go({ at: 'say', room: room.id, item }) }
              : {})}
          />
        </div>
      )}
      <ul class="walk-items">
        {room.items.map((item) => (
          <ItemLine key={item.id} room={room.id} item={item} touch={going} />
        ))}
      </ul>
      {going && (
        <p>
          <a
            class="walk-other"
            href={address({ at: 'say', room: room.id, item: null })}
            target="_self"
          >
            {t('walk.room.other')}
          </a>
        </p>
      )}
      {(room.remarks.length > 0 || waiting.length > 0) && (
        <section aria-labelledby="walk-said">
          <h2 id="walk-said">{t('walk.room.saidHere')}</h2>
          <ul class="walk-list">
            {waiting.map((command) => (
              <li key={command.id} class="walk-line walk-line-waiting">
                <span class="walk-line-name">
                  {command.say_remark?.text || t('walk.said.short')}
                </span>
                <span class="walk-line-says">{t('walk.said.waiting')}</span>
              </li>
            ))}
            {room.remarks.map((remark) => (
              <RemarkLine key={remark.id} remark={remark} />
            ))}
          </ul>
        </section>
      )}
      {going && room.signed === undefined && (
        <p class="walk-foot">
          <a class="walk-step" href={address({ at: 'sign', room: room.id })} target="_self">
            {t('walk.sign.room')}
          </a>
        </p>
      )}
      {room.signed !== undefined && (
        <p class="walk-small">
          {t('walk.room.signedAt', { name: room.signed.name, day: day(room.signed.at) })}
        </p>
      )}
      <Back />
    </>
  );
}

function ItemLine(props: { room: string; item: WalkItem; touch: boolean }) {
  const { item } = props;
  const inside = (
    <>
      <span class="walk-thumb" aria-hidden="true">
        {isDrawn(item.drawing) && <Drawing list={asList(item.drawing)} fill />}
      </span>
      <span class="walk-item-words">
        <span class="walk-line-name">{item.name}</span>
        <span class="walk-line-says">{item.place ?? item.kind_label}</span>
        {!item.finished && <span class="walk-line-says">{t('walk.item.unfinished')}</span>}
      </span>
    </>
  );
  return (
    <li>
      {props.touch ? (
        <a
          class="walk-item"
          href={address({ at: 'say', room: props.room, item: item.id })}
          target="_self"
        >
          {inside}
        </a>
      ) : (
        <div class="walk-item">{inside}</div>
      )}
    </li>
  );
}

export function RemarkLine({ remark }: { remark: Remark }) {
  return (
    <li>
      <a
        class={isTheirs(remark) ? 'walk-line walk-line-theirs' : 'walk-line'}
        href={address({ at: 'remark', id: remark.id })}
        target="_self"
      >
        <span class="walk-line-name">
          {remark.item_name !== undefined && <>{remark.item_name}: </>}
          <Words>{remark.sentence}</Words>
        </span>
        <span class="walk-line-says">{remark.state_label}</span>
        <Chevron />
      </a>
    </li>
  );
}

function Chevron() {
  return (
    <svg class="walk-chevron" viewBox="0 0 20 20" aria-hidden="true">
      <path d="M7 3L14 10L7 17" />
    </svg>
  );
}

/** Back stands at the bottom, under the thumb. */
export function Back(props: { room?: string; onLeave?: () => void }) {
  const to =
    props.room === undefined ? address({ at: 'rooms' }) : address({ at: 'room', room: props.room });
  return (
    <p class="walk-back">
      <a href={to} target="_self" onClick={props.onLeave}>
        {props.room === undefined ? t('walk.toRooms') : t('walk.toRoom')}
      </a>
    </p>
  );
}
