import { effect, signal } from '@preact/signals';
import { useEffect, useState } from 'preact/hooks';
import { Spot } from '../parts/spot.tsx';
import type { KeptPhoto } from '../photos/kept.ts';
import { useJpeg } from '../photos/use-jpeg.ts';
import { t } from '../words/words.ts';
import type { Remark } from './door.ts';
import { afterLook, doing, keyOf, sayingOf, turnedBack } from './visit.ts';

/** Photos of this homeowner on this device. */
export const here = signal<readonly KeptPhoto[]>([]);

type Loaded = typeof import('./photo-queue.ts');
let loading: Promise<Loaded> | null = null;

/** The queue, loaded when it is first needed: the page does not wait for it. */
export function photoQueue(): Promise<Loaded> {
  loading ??= import('./photo-queue.ts').then(
    (loaded) => {
      effect(() => {
        here.value = loaded.walkPhotos.photos.value;
      });
      return loaded;
    },
    (cause) => {
      loading = null;
      throw cause;
    },
  );
  return loading;
}

/**
 * Photos of what is being told, kept to be sent. Waits for what the device has: a page that was
 * thrown away for the camera comes back without it. Throws where the queue's own file cannot be had.
 */
export async function ownPhotos(
  person: string,
  ids: readonly string[],
): Promise<readonly KeptPhoto[]> {
  const { walkPhotos } = await photoQueue();
  await walkPhotos.ready;
  walkPhotos.belongsTo(person);
  const photos = walkPhotos.photos.value.filter(({ photo_id }) => ids.includes(photo_id));
  // No draft any more before it is told, or what is let go of could be one of them.
  for (const photo of photos) {
    if (photo.state === 'draft') await walkPhotos.put({ ...photo, state: 'waiting' });
  }
  return photos;
}

/** Sends what is kept, while the walk is open on this page. Returns how to stop. */
export function followPhotos(): () => void {
  let person: string | null = null;
  const stops = [
    effect(() => {
      const now = doing.value;
      const who = now.state === 'in' ? now.page.guest_id : null;
      if (who === null || who === person) return;
      person = who;
      photoQueue().then(
        async ({ walkPhotos }) => {
          walkPhotos.belongsTo(who);
          await walkPhotos.ready;
          await letGo(walkPhotos.photos.value, walkPhotos.remove);
        },
        () => {
          person = null; // no signal for the file itself: tried again with the next look
        },
      );
    }),
    effect(() => {
      const refused = turnedBack.value.flatMap(({ command }) => command.add_photo ?? []);
      if (refused.length === 0) return;
      void photoQueue().then(({ walkPhotos }) =>
        refused.map(({ photo_id }) => walkPhotos.remove(photo_id)),
      );
    }),
  ];
  const push = () => {
    if (here.value.some(({ state }) => state === 'waiting')) {
      void photoQueue().then(({ walkPhotos }) => walkPhotos.push());
    }
  };
  afterLook.add(push);
  return () => {
    afterLook.delete(push);
    for (const stop of stops) stop();
  };
}

/** Drafts of something that was never said, and is not being said, go. */
function letGo(photos: readonly KeptPhoto[], remove: (id: string) => Promise<void>) {
  const saying = new Set(sayingOf()?.photos ?? []);
  return Promise.all(
    photos
      .filter(({ state, photo_id }) => state === 'draft' && !saying.has(photo_id))
      .map(({ photo_id }) => remove(photo_id)),
  );
}

const askAgain = 15_000;
const fetched = new Map<string, string>();

type Standing = 'asking' | 'here' | 'on its way' | 'lost';

/** A photo's address: from this device, else asked for with the key. */
function usePicture(id: string, size: 'full' | 'thumb') {
  const own = useJpeg(here.value.find(({ photo_id }) => photo_id === id));
  const name = `${id} ${size}`;
  const [standing, setStanding] = useState<Standing>(fetched.has(name) ? 'here' : 'asking');
  useEffect(() => {
    if (own !== undefined || fetched.has(name)) return;
    let gone = false;
    let timer: ReturnType<typeof setTimeout> | undefined;
    const ask = async () => {
      try {
        const answer = await fetch(`/api/v1/walk/photos/${id}/${size}.jpg`, {
          headers: { Authorization: `Bearer ${keyOf() ?? ''}` },
        });
        if (answer.ok) {
          fetched.set(name, URL.createObjectURL(await answer.blob()));
          if (!gone) setStanding('here');
          return;
        }
        if (!gone) setStanding(answer.status === 409 ? 'on its way' : 'lost');
      } catch {
        if (!gone) setStanding('lost');
      }
      if (!gone) timer = setTimeout(() => void ask(), askAgain);
    };
    void ask();
    return () => {
      gone = true;
      clearTimeout(timer);
    };
  }, [own, name]);
  return { address: own ?? fetched.get(name), standing };
}

export function Picture(props: { id: string; size: 'full' | 'thumb'; says: string }) {
  const { address, standing } = usePicture(props.id, props.size);
  if (address !== undefined) return <img class="walk-photo" src={address} alt={props.says} />;
  return (
    <span class="walk-photo walk-photo-absent" role="img" aria-label={props.says}>
      <span aria-hidden="true">
        {standing === 'on its way' && t('walk.photo.onWay')}
        {standing === 'lost' && t('photos.notLoaded')}
      </span>
    </span>
  );
}

/** Photos with the places that were marked on them. */
export function Photos(props: { ids: readonly string[]; marks?: Remark['marks']; says: string }) {
  return (
    <ul class="walk-photos">
      {props.ids.map((id) => (
        <li key={id}>
          <Spot at={props.marks?.find(({ on }) => on === id) ?? null} name={props.says}>
            <Picture id={id} size="full" says={props.says} />
          </Spot>
        </li>
      ))}
    </ul>
  );
}
