import { useState } from 'preact/hooks';
import type { ItemView } from '../api/views.ts';
import { act } from '../live/store.ts';
import { Drawing } from '../parts/drawing.tsx';
import { FileButton } from '../parts/file-button.tsx';
import { Spot } from '../parts/spot.tsx';
import { entryOf } from '../photos/draft.ts';
import { queue, takePhoto } from '../photos/live.ts';
import { ShownPhotos } from '../photos/shown.tsx';
import { unreadOf } from '../photos/unread.ts';
import { t } from '../words/words.ts';
import { asList } from './as-list.ts';

type Remark = NonNullable<ItemView['remarks']>[number];

/** Where the homeowner pointed: on the drawing as they saw it, and on their photos. */
export function RemarkSpots({ view, remark }: { view: ItemView; remark: Remark }) {
  const { spot, drawing } = remark;
  return (
    <>
      {spot !== undefined && drawing !== undefined && (
        <div class="remark-spot">
          <Spot at={spot} name={t('remarks.spot')}>
            <Drawing list={asList(drawing)} />
          </Spot>
        </div>
      )}
      <ShownPhotos
        job={view.job_id}
        ids={remark.photos ?? []}
        marks={remark.marks}
        says={t('remarks.photo')}
      />
    </>
  );
}

interface ProofProps {
  readonly view: ItemView;
  readonly photos: readonly string[];
  readonly onTaken: (id: string) => void;
}

/** A photo of the mended spot. It is in the log at once: the answer only names it. */
export function Proof({ view, photos, onTaken }: ProofProps) {
  const [making, setMaking] = useState(false);
  const [unread, setUnread] = useState<ReturnType<typeof unreadOf> | null>(null);
  const take = async (files: FileList | null) => {
    setUnread(null);
    for (const file of files ?? []) {
      setMaking(true);
      try {
        const draft = await takePhoto(view.job_id, view.id, file);
        const said = t('said.photo', { item: view.name });
        void act('add_photo', { job: view.job_id, item: view.id }, entryOf(draft), { said });
        await queue.put({ ...draft, state: 'waiting' });
        onTaken(draft.photo_id);
      } catch {
        setUnread(unreadOf(file));
      }
      setMaking(false);
    }
  };
  return (
    <>
      <ShownPhotos job={view.job_id} ids={photos} says={t('remarks.proof')} />
      {making && <p role="status">{t('photos.making')}</p>}
      {unread !== null && (
        <p class="field-reason" role="alert">
          {t(unread)}
        </p>
      )}
      <FileButton label={t('remarks.take')} camera plain onFiles={(files) => void take(files)} />
    </>
  );
}
