import { useState } from 'preact/hooks';
import { type At, Spot } from '../parts/spot.tsx';
import { t } from '../words/words.ts';
import { pictureOf, queue } from './live.ts';
import './shown.css';
import { useJpeg } from './use-jpeg.ts';

export interface ShownProps {
  readonly job: string;
  readonly ids: readonly string[];
  /** The places marked on them. */
  readonly marks?: readonly (At & { readonly on?: string })[] | undefined;
  readonly says: string;
}

/** Photos of a remark as the crew sees them: large enough to find the spot by. */
export function ShownPhotos({ job, ids, marks, says }: ShownProps) {
  if (ids.length === 0) return null;
  return (
    <ul class="shown-photos">
      {ids.map((id) => (
        <li key={id}>
          <Spot at={marks?.find(({ on }) => on === id) ?? null} name={says}>
            <Shown job={job} id={id} says={says} />
          </Spot>
        </li>
      ))}
    </ul>
  );
}

function Shown({ job, id, says }: { job: string; id: string; says: string }) {
  const own = useJpeg(queue.photos.value.find(({ photo_id }) => photo_id === id));
  const [lost, setLost] = useState(false);
  if (lost && own === undefined) {
    return (
      <span class="shown-photo photo-absent" role="img" aria-label={says}>
        <span aria-hidden="true">{t('photos.notLoaded')}</span>
      </span>
    );
  }
  return (
    <img
      class="shown-photo"
      src={own ?? pictureOf(job, id, 'full')}
      alt={says}
      loading="lazy"
      decoding="async"
      onError={() => setLost(true)}
    />
  );
}
