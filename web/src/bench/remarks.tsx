import { useState } from 'preact/hooks';
import type { ItemView } from '../api/views.ts';
import { act } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Finding } from '../parts/finding.tsx';
import { Words } from '../parts/fraction.tsx';
import { useFile } from '../shell/use-file.ts';
import { t } from '../words/words.ts';
import './remarks.css';

type Remark = NonNullable<ItemView['remarks']>[number];
type Pictures = typeof import('./remark-photos.tsx');

/** What the homeowner pointed out here, while it is work: seen before anything else on the item. */
export function Remarks({ view }: { view: ItemView }) {
  const work = (view.remarks ?? []).filter(({ can_fix }) => can_fix === true);
  // The words are there at once; what photos need comes after the tape and the cuts. Without a signal for the file the
  // words stand, and it is fixed without a photo.
  const pictures = useFile(() => import('./remark-photos.tsx'), work.length > 0);
  if (work.length === 0) return null;
  return (
    <section class="remarks" aria-labelledby="remarks">
      <h2 id="remarks">{t('remarks.title', { count: work.length })}</h2>
      <ul>
        {work.map((remark) => (
          <One key={remark.id} view={view} remark={remark} pictures={pictures ?? null} />
        ))}
      </ul>
    </section>
  );
}

function One(props: { view: ItemView; remark: Remark; pictures: Pictures | null }) {
  const { view, remark, pictures } = props;
  const [refused, setRefused] = useState<{ sentence: string; remedy: string } | null>(null);
  const [photos, setPhotos] = useState<readonly string[]>([]);
  const again = view.stages.find(({ stage }) => stage === remark.stage);
  const fixed = async () => {
    const came = await act(
      'move_remark',
      { job: view.job_id, item: view.id, walk: remark.walk_id },
      {
        remark_id: remark.id,
        act: 'fix',
        ...(photos.length === 0 ? {} : { photos: [...photos] }),
      },
      { said: t('remarks.said', { what: remark.sentence }) },
    );
    const why = came?.applied === false ? came.findings?.[0] : undefined;
    setRefused(
      why === undefined ? null : { sentence: why.sentence ?? '', remedy: why.remedy ?? '' },
    );
  };
  return (
    <li class="remark">
      <p class="remark-said">
        <Words>{remark.sentence}</Words>
      </p>
      {pictures !== null && <pictures.RemarkSpots view={view} remark={remark} />}
      {again !== undefined && again.status !== 'done' && (
        <p class="remark-how">{t('remarks.again', { stage: again.label })}</p>
      )}
      {refused !== null && (
        <Finding severity="stop" sentence={refused.sentence} remedy={refused.remedy} />
      )}
      {pictures !== null && (
        <pictures.Proof
          view={view}
          photos={photos}
          onTaken={(id) => setPhotos((was) => [...was, id])}
        />
      )}
      <Button onPress={() => void fixed()}>{t('remarks.fixed')}</Button>
    </li>
  );
}
