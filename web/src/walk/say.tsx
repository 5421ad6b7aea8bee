import { useEffect, useRef, useState } from 'preact/hooks';
import { asList, isDrawn } from '../bench/as-list.ts';
import { Button } from '../parts/button.tsx';
import { Drawing } from '../parts/drawing.tsx';
import { Field } from '../parts/field.tsx';
import { FileButton } from '../parts/file-button.tsx';
import { Notice } from '../parts/notice.tsx';
import { type At, Spot } from '../parts/spot.tsx';
import type { KeptPhoto } from '../photos/kept.ts';
import { unreadOf } from '../photos/unread.ts';
import { t } from '../words/words.ts';
import { type WalkItem, type WalkPage, type WalkRoom, walkCommand } from './door.ts';
import { ownPhotos, Picture, photoQueue } from './pictures.tsx';
import { go } from './place.ts';
import { Back } from './rooms.tsx';
import { act, keepSaying, type Saying, sayingOf } from './visit.ts';

/** More than so many of one thing nobody looks through. */
const photosMost = 6;

interface SayProps {
  readonly page: WalkPage;
  readonly room: WalkRoom;
  readonly item: WalkItem | null;
}

/** One question at a time: where, what, and in their own words and pictures. */
export function SayScreen(props: { page: WalkPage; room: string; item: string | null }) {
  const room = props.page.view.rooms.find(({ id }) => id === props.room);
  const item = room?.items.find(({ id }) => id === props.item) ?? null;
  if (room === undefined || (props.item !== null && item === null)) {
    return (
      <>
        <Notice kind="gone" sentence={t('walk.room.gone')} />
        <Back />
      </>
    );
  }
  return <Say page={props.page} room={room} item={item} />;
}

/** What is said so far: what the device kept of it when the page was thrown away. */
function begun({ page, room, item }: SayProps): Saying {
  const place = { walk: page.view.id, room: room.id, item: item?.id ?? null };
  const kept = sayingOf();
  if (kept?.walk === place.walk && kept.room === place.room && kept.item === place.item) {
    return kept;
  }
  return {
    ...place,
    step: item !== null && isDrawn(item.drawing) ? 'where' : 'what',
    at: null,
    about: null,
    text: '',
    photos: [],
    marks: [],
  };
}

function Say(props: SayProps) {
  const { page, room, item } = props;
  const [saying, setSaying] = useState(() => begun(props));
  const [marking, setMarking] = useState<string | null>(null);
  const [wanting, setWanting] = useState(false);
  const [notYet, setNotYet] = useState(false);
  const change = (changed: Partial<Saying>) => setSaying((was) => ({ ...was, ...changed }));
  useEffect(() => keepSaying(saying), [saying]);

  const { step, at, about, text, photos, marks } = saying;
  const place = { room: room.id, ...(item === null ? {} : { item: item.id }) };
  const told = useRef(false);
  const tell = async () => {
    const words = text.trim();
    if (about === null || (about === 'other' && words === '')) return setWanting(true);
    if (told.current) return;
    told.current = true;
    setNotYet(false);
    let kept: readonly KeptPhoto[];
    try {
      kept = photos.length === 0 ? [] : await ownPhotos(page.guest_id, photos);
    } catch {
      told.current = false;
      return setNotYet(true);
    }
    const entries = kept.map(({ photo_id, sha256, jpeg, width, height }) =>
      walkCommand(page, place, {
        add_photo: { photo_id, sha256, bytes: jpeg.byteLength, width, height },
      }),
    );
    const ids = kept.map(({ photo_id }) => photo_id);
    const marked = marks.filter(({ on }) => ids.includes(on));
    act(
      ...entries,
      walkCommand(page, place, {
        say_remark: {
          about,
          ...(words === '' ? {} : { text: words }),
          ...(at === null ? {} : { spot: at }),
          ...(ids.length === 0 ? {} : { photos: ids }),
          ...(marked.length === 0 ? {} : { marks: marked }),
        },
      }),
    );
    keepSaying(null);
    go({ at: 'room', room: room.id });
  };
  const leave = () => keepSaying(null);
  const marked = marks.find(({ on }) => on === marking);
  if (marking !== null) {
    return (
      <>
        <Head room={room} item={item} />
        <p class="walk-question">{t('walk.photo.where')}</p>
        <Spot
          name={t('walk.photo.where')}
          at={marked ?? null}
          onMark={(spot) =>
            change({
              marks: [...marks.filter(({ on }) => on !== marking), { on: marking, ...spot }],
            })
          }
        >
          <Picture id={marking} size="full" says={t('walk.photo.one')} />
        </Spot>
        <div class="walk-foot">
          <Button kind="main" wide onPress={() => setMarking(null)}>
            {marked === undefined ? t('walk.say.nowhere') : t('walk.say.next')}
          </Button>
        </div>
      </>
    );
  }
  const label = item?.suggestions.find((each) => each.about === about)?.label;
  return (
    <>
      <Head room={room} item={item} />
      {step === 'where' && item !== null && (
        <>
          <p class="walk-question">{t('walk.say.where')}</p>
          <Spot at={at} onMark={(spot: At) => change({ at: spot })} name={t('walk.say.where')}>
            <Drawing list={asList(item.drawing)} />
          </Spot>
          <div class="walk-foot">
            <Button kind="main" wide onPress={() => change({ step: 'what' })}>
              {at === null ? t('walk.say.nowhere') : t('walk.say.next')}
            </Button>
          </div>
        </>
      )}
      {step === 'what' && (
        <>
          <p class="walk-question" id="walk-what">
            {t('walk.say.what')}
          </p>
          <ul class="walk-choices" aria-labelledby="walk-what">
            {(item?.suggestions ?? roomSuggestions()).map((each) => (
              <li key={each.about}>
                <Button wide onPress={() => change({ about: each.about, step: 'words' })}>
                  {each.label}
                </Button>
              </li>
            ))}
          </ul>
        </>
      )}
      {step === 'words' && (
        <>
          <p class="walk-question">
            {about === 'other' || label === undefined ? t('walk.say.words') : label}
          </p>
          <Field
            tall
            label={about === 'other' ? t('walk.say.yours') : t('walk.say.more')}
            value={text}
            onInput={(words) => change({ text: words })}
            {...(wanting && text.trim() === '' ? { refused: t('walk.say.needed') } : {})}
          />
          <Taken
            {...props}
            saying={saying}
            onAdd={(id) => setSaying((was) => ({ ...was, photos: [...was.photos, id] }))}
            onRemove={(id) =>
              change({
                photos: photos.filter((other) => other !== id),
                marks: marks.filter(({ on }) => on !== id),
              })
            }
            onMark={setMarking}
          />
          {notYet && (
            <p class="field-reason" role="alert">
              {t('walk.say.notYet')}
            </p>
          )}
          <div class="walk-foot">
            <Button kind="main" wide onPress={() => void tell()}>
              {t('walk.say.it')}
            </Button>
            <Button kind="quiet" onPress={() => change({ step: 'what' })}>
              {t('walk.say.another')}
            </Button>
          </div>
        </>
      )}
      <Back room={room.id} onLeave={leave} />
    </>
  );
}

function Head({ room, item }: { room: WalkRoom; item: WalkItem | null }) {
  return (
    <header class="walk-head">
      <p class="walk-crew">{room.name}</p>
      <h1>{item?.name ?? t('walk.say.room')}</h1>
      {item?.place !== undefined && <p class="walk-line-says">{item.place}</p>}
    </header>
  );
}

interface TakenProps extends SayProps {
  readonly saying: Saying;
  readonly onAdd: (id: string) => void;
  readonly onRemove: (id: string) => void;
  readonly onMark: (id: string) => void;
}

/** The photos of what is being said: each can be marked, and taken out again. */
function Taken({ page, item, saying, onAdd, onRemove, onMark }: TakenProps) {
  const [making, setMaking] = useState(0);
  const [unread, setUnread] = useState<ReturnType<typeof unreadOf> | null>(null);
  const { photos, marks } = saying;
  const take = async (files: FileList | null) => {
    setUnread(null);
    const chosen = [...(files ?? [])].slice(0, photosMost - photos.length);
    for (const file of chosen) {
      setMaking((n) => n + 1);
      try {
        const queue = await photoQueue();
        const of = { person: page.guest_id, job: page.view.job_id, item: item?.id ?? '' };
        onAdd((await queue.take(file, of)).photo_id);
      } catch {
        setUnread(unreadOf(file));
      }
      setMaking((n) => n - 1);
    }
  };
  return (
    <section class="walk-take" aria-label={t('photos.section')}>
      {photos.length > 0 && (
        <ul class="walk-photos">
          {photos.map((id, at) => (
            <li key={id}>
              <Spot at={marks.find(({ on }) => on === id) ?? null} name={t('walk.photo.one')}>
                <Picture id={id} size="full" says={t('walk.photo.number', { number: at + 1 })} />
              </Spot>
              <div class="walk-photo-acts">
                <Button
                  name={t('walk.photo.mark.name', { number: at + 1 })}
                  onPress={() => onMark(id)}
                >
                  {t('walk.photo.mark')}
                </Button>
                <Button
                  kind="quiet"
                  name={t('walk.photo.remove.name', { number: at + 1 })}
                  onPress={() => {
                    onRemove(id);
                    void photoQueue().then(({ walkPhotos }) => walkPhotos.remove(id));
                  }}
                >
                  {t('walk.photo.remove')}
                </Button>
              </div>
            </li>
          ))}
        </ul>
      )}
      {making > 0 && <p role="status">{t('photos.making')}</p>}
      {unread !== null && (
        <p class="field-reason" role="alert">
          {t(unread)}
        </p>
      )}
      {photos.length >= photosMost ? (
        <p class="walk-small">{t('walk.photo.most', { count: photosMost })}</p>
      ) : (
        <div class="walk-photo-acts">
          <FileButton label={t('photos.take')} plain camera onFiles={(files) => void take(files)} />
          <FileButton label={t('photos.choose')} onFiles={(files) => void take(files)} />
        </div>
      )}
    </section>
  );
}

/** What may be said of a room itself: whatever is not one of its openings or runs. */
function roomSuggestions(): readonly {
  readonly about: NonNullable<Saying['about']>;
  readonly label: string;
}[] {
  return [
    { about: 'paint', label: t('walk.about.paint') },
    { about: 'dent', label: t('walk.about.dent') },
    { about: 'other', label: t('walk.about.other') },
  ];
}
