import { useEffect, useState } from 'preact/hooks';
import type { PhotoEntry } from '../api/views.ts';
import { act } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Field } from '../parts/field.tsx';
import { Sheet } from '../parts/sheet.tsx';
import { leads, me } from '../sign-in/session.ts';
import { language, t } from '../words/words.ts';
import type { KeptPhoto } from './kept.ts';
import { askStates, pictureOf, queue, stateOf, statesAnswered } from './live.ts';
import { useJpeg } from './use-jpeg.ts';
import './photos.css';

export interface StripProps {
  readonly job: string;
  /** The opening the photos are of, and what it is called in the log's sentences. */
  readonly item: string;
  readonly itemName: string;
  readonly photos: readonly PhotoEntry[];
  readonly nameOf: (person: string) => string;
}

const askAgain = 20_000;

/** The photos of an item: each with where it is, opened large under the thumb. */
export function PhotoStrip(props: StripProps) {
  const { job, photos } = props;
  const [open, setOpen] = useState<string | null>(null);
  const elsewhere = photos.some(
    ({ photo_id }) => kept(photo_id) === undefined && stateOf(photo_id)?.state !== 'stored',
  );
  useEffect(() => {
    if (!elsewhere) return;
    void askStates(job);
    // Another phone's photo is on its way: it is looked for while somebody looks.
    const timer = setInterval(() => void askStates(job), askAgain);
    return () => clearInterval(timer);
  }, [job, elsewhere, photos.length]);
  if (photos.length === 0) return null;
  const opened = photos.find(({ photo_id }) => photo_id === open);
  return (
    <>
      <ul class="photos">
        {photos.map((photo) => (
          <li key={photo.photo_id}>
            <Tile {...props} photo={photo} onOpen={() => setOpen(photo.photo_id)} />
          </li>
        ))}
      </ul>
      {opened !== undefined && (
        <Viewer {...props} photo={opened} key={opened.photo_id} onClose={() => setOpen(null)} />
      )}
    </>
  );
}

function kept(id: string): KeptPhoto | undefined {
  return queue.photos.value.find(({ photo_id }) => photo_id === id);
}

interface Standing {
  readonly is: 'here' | 'waiting' | 'sending' | 'refused' | 'elsewhere';
  readonly words: string;
  /** How much of it has arrived, of 1. */
  readonly part?: number;
}

/** Where a photo's bytes are, in words. */
function standing(photo: PhotoEntry, nameOf: StripProps['nameOf']): Standing {
  const id = photo.photo_id;
  const own = kept(id);
  const size = photo.bytes;
  if (own?.state === 'refused') return { is: 'refused', words: own.sentence ?? '' };
  if (own !== undefined && own.state !== 'sent') {
    const at = queue.arrived.value.get(id) ?? 0;
    const part = size > 0 ? at / size : 0;
    if (queue.onlyHere.value.has(id)) return { is: 'refused', words: t('photos.full'), part };
    if (at > 0) {
      const numbers = { at: kilobytes(at), of: kilobytes(size) };
      return { is: 'sending', words: t('photos.sending', numbers), part };
    }
    return { is: 'waiting', words: t('photos.waiting') };
  }
  const line = stateOf(id);
  if (line?.state === 'refused') return { is: 'refused', words: line.sentence ?? '' };
  if (line?.state === 'waiting') {
    return {
      is: 'elsewhere',
      words: t('photos.elsewhere', { who: nameOf(photo.person_id) }),
      part: size > 0 ? line.received / size : 0,
    };
  }
  return { is: 'here', words: '' };
}

const kilobytes = (bytes: number) => Math.round(bytes / 1000);

function Tile(props: StripProps & { photo: PhotoEntry; onOpen: () => void }) {
  const { photo, nameOf } = props;
  const { is, words, part } = standing(photo, nameOf);
  return (
    <button type="button" class={`photo photo-${is}`} onClick={props.onOpen}>
      <Picture {...props} size="thumb" />
      {is !== 'here' && (
        <span class="photo-state">
          {is === 'refused' && <Notch />}
          {is === 'refused' ? t('photos.needsYou') : words}
        </span>
      )}
      {part !== undefined && part > 0 && <Progress part={part} />}
    </button>
  );
}

function Notch() {
  return (
    <svg class="photo-notch" viewBox="0 0 12 12" aria-hidden="true">
      <path d="M12 0L0 6L12 12Z" />
    </svg>
  );
}

/** The words beside it say the same. */
function Progress({ part }: { part: number }) {
  return (
    <span class="photo-progress" aria-hidden="true">
      <span style={{ width: `${Math.round(part * 100)}%` }} />
    </span>
  );
}

/** The picture from this device, else from the service; where neither has it, its outline. */
function Picture(props: StripProps & { photo: PhotoEntry; size: 'full' | 'thumb' }) {
  const { job, photo, size, nameOf } = props;
  const own = useJpeg(kept(photo.photo_id));
  const line = stateOf(photo.photo_id);
  const [lost, setLost] = useState(false);
  const says = photo.caption ?? t('photos.one', { who: nameOf(photo.person_id) });
  const shape = { aspectRatio: `${photo.width} / ${photo.height}` };
  // Asked for once it is known to be there, or cannot be known.
  const unknown = line === undefined && !statesAnswered(job);
  const absent =
    own === undefined && (unknown || line?.state === 'waiting' || line?.state === 'refused');
  // Tried anew once this device's own has been read, or the service says that it is there: a page
  // opened without a signal asks the service before it knows what lies here.
  useEffect(() => setLost(false), [own, line?.state]);
  if (absent || lost) {
    return (
      <span class="photo-absent" role="img" aria-label={says} style={shape}>
        {lost && !absent && <span aria-hidden="true">{t('photos.notLoaded')}</span>}
      </span>
    );
  }
  return (
    <img
      src={own ?? pictureOf(job, photo.photo_id, size)}
      alt={says}
      width={photo.width}
      height={photo.height}
      loading="lazy"
      decoding="async"
      onError={() => setLost(true)}
    />
  );
}

function Viewer(props: StripProps & { photo: PhotoEntry; onClose: () => void }) {
  const { job, item, photo, nameOf, onClose } = props;
  const { is, words, part } = standing(photo, nameOf);
  const mayTakeBack = photo.person_id === me().person_id || leads(me());
  return (
    <Sheet name={t('photos.title')} modal onClose={onClose}>
      <div class="photo-view">
        <Picture {...props} size="full" />
        {photo.caption !== undefined && <p class="photo-caption">{photo.caption}</p>}
        <p class="quiet">
          {nameOf(photo.person_id)}, {new Date(photo.at).toLocaleString(language.value.tag)}
        </p>
        {is !== 'here' && (
          <p class={is === 'refused' ? 'photo-refused' : 'photo-standing'} role="status">
            {is === 'refused' && <Notch />}
            {words}
          </p>
        )}
        {part !== undefined && part > 0 && <Progress part={part} />}
        {(is === 'waiting' || is === 'sending') && queue.cutOff.value && (
          <p class="quiet">{t('photos.cutOff')}</p>
        )}
        {(is === 'waiting' || is === 'sending') && (
          <Button wide onPress={() => void queue.push()}>
            {t('photos.tryNow')}
          </Button>
        )}
        {mayTakeBack && (
          <TakePhotoBack
            onTake={(reason) => {
              void act(
                'withdraw',
                { job, item },
                { command_id: photo.command_id, reason },
                { said: t('said.withdraw', { item: props.itemName, what: t('photos.title') }) },
              );
              void queue.remove(photo.photo_id);
              onClose();
            }}
          />
        )}
      </div>
    </Sheet>
  );
}

function TakePhotoBack(props: { onTake: (reason: string) => void }) {
  const [asking, setAsking] = useState(false);
  const [reason, setReason] = useState('');
  const [missing, setMissing] = useState(false);
  if (!asking) {
    return (
      <Button kind="quiet" onPress={() => setAsking(true)}>
        {t('photos.takeBack')}
      </Button>
    );
  }
  const take = () => (reason.trim() === '' ? setMissing(true) : props.onTake(reason.trim()));
  return (
    <div class="photo-back">
      <Field
        label={t('withdraw.why')}
        value={reason}
        onInput={setReason}
        onEnter={take}
        hint={t('photos.takeBack.hint')}
        {...(missing && reason.trim() === '' ? { refused: t('reason.missing') } : {})}
      />
      <Button wide onPress={take}>
        {t('photos.takeBack')}
      </Button>
    </div>
  );
}
