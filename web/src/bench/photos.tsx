import { useState } from 'preact/hooks';
import type { ItemView } from '../api/views.ts';
import { act, personName } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Field } from '../parts/field.tsx';
import { FileButton } from '../parts/file-button.tsx';
import { Sheet } from '../parts/sheet.tsx';
import { entryOf } from '../photos/draft.ts';
import type { KeptPhoto } from '../photos/kept.ts';
import { queue, takePhoto } from '../photos/live.ts';
import { PhotoStrip } from '../photos/strip.tsx';
import { unreadOf } from '../photos/unread.ts';
import { useJpeg } from '../photos/use-jpeg.ts';
import { t } from '../words/words.ts';
import { RoomSign } from './device-signs.tsx';
import './photos.css';

const captionMost = 200;

/** An item's photos: taken with the phone's camera, kept on the phone at once, sent when they can be. */
export function Photos({ view }: { view: ItemView }) {
  const [making, setMaking] = useState(0);
  const [unread, setUnread] = useState<ReturnType<typeof unreadOf> | null>(null);
  const [open, setOpen] = useState<string | null>(null);
  const photos = view.photos ?? [];
  const logged = new Set(photos.map(({ photo_id }) => photo_id));
  // What was kept and is not in the log is still the person's to put there: also after a kill in
  // between, and after the rules turned it back.
  const drafts = queue.photos.value.filter(
    ({ photo_id, item_id, state }) =>
      item_id === view.id && state !== 'sent' && !logged.has(photo_id),
  );
  const take = async (files: FileList | null) => {
    setUnread(null);
    for (const file of files ?? []) {
      setMaking((n) => n + 1);
      try {
        const photo = await takePhoto(view.job_id, view.id, file);
        // One is open and its caption being typed: the next stand in the list.
        setOpen((was) => was ?? photo.photo_id);
      } catch {
        setUnread(unreadOf(file));
      }
      setMaking((n) => n - 1);
    }
  };
  const opened = drafts.find(({ photo_id }) => photo_id === open);
  return (
    <section class="item-photos" aria-label={t('photos.section')}>
      <h3>{t('photos.section')}</h3>
      {drafts.length > 0 && (
        <ul class="photo-drafts">
          {drafts.map((draft) => (
            <li key={draft.photo_id}>
              <DraftRow draft={draft} onOpen={() => setOpen(draft.photo_id)} />
            </li>
          ))}
        </ul>
      )}
      <PhotoStrip
        job={view.job_id}
        item={view.id}
        itemName={view.name}
        photos={photos}
        nameOf={personName}
      />
      {photos.length === 0 && drafts.length === 0 && <p class="quiet">{t('photos.none')}</p>}
      {making > 0 && <p role="status">{t('photos.making')}</p>}
      {unread !== null && (
        <p class="photo-refused" role="alert">
          {t(unread)}
        </p>
      )}
      <RoomSign />
      <div class="photo-take">
        <FileButton label={t('photos.take')} camera onFiles={(files) => void take(files)} />
        <FileButton label={t('photos.choose')} onFiles={(files) => void take(files)} />
      </div>
      {opened !== undefined && (
        <DraftSheet
          key={opened.photo_id}
          view={view}
          draft={opened}
          onClose={() => setOpen(null)}
        />
      )}
    </section>
  );
}

function DraftRow(props: { draft: KeptPhoto; onOpen: () => void }) {
  const address = useJpeg(props.draft);
  return (
    <button type="button" class="photo-draft" onClick={props.onOpen}>
      <img src={address} alt="" width={props.draft.width} height={props.draft.height} />
      <span>
        <strong>{t('photos.draft')}</strong>
        {queue.onlyHere.value.has(props.draft.photo_id) ? t('photos.full') : t('photos.draft.more')}
      </span>
    </button>
  );
}

function DraftSheet(props: { view: ItemView; draft: KeptPhoto; onClose: () => void }) {
  const { view, draft, onClose } = props;
  const [caption, setCaption] = useState(draft.caption ?? '');
  const address = useJpeg(draft);
  const keep = () => {
    const words = caption.trim().slice(0, captionMost);
    void act(
      'add_photo',
      { job: view.job_id, item: view.id },
      {
        ...entryOf(draft),
        ...(words === '' ? {} : { caption: words }),
      },
      { said: t('said.photo', { item: view.name }) },
    ).then(() => queue.push());
    void queue.put({ ...draft, state: 'waiting', ...(words === '' ? {} : { caption: words }) });
    onClose();
  };
  return (
    <Sheet name={t('photos.new')} nameShown modal onClose={onClose}>
      <div class="photo-view">
        <img src={address} alt={t('photos.new')} width={draft.width} height={draft.height} />
        <Field
          label={t('photos.caption')}
          hint={t('photos.caption.hint')}
          value={caption}
          onInput={setCaption}
          onEnter={keep}
        />
        <Button kind="main" wide onPress={keep}>
          {t('photos.keep')}
        </Button>
        <Button
          kind="quiet"
          onPress={() => {
            void queue.remove(draft.photo_id);
            onClose();
          }}
        >
          {t('photos.discard')}
        </Button>
      </div>
    </Sheet>
  );
}
