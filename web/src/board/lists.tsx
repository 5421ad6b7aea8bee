import type { JobView, PoleView } from '../api/views.ts';
import { Words } from '../parts/fraction.tsx';
import { useSoFar } from '../shell/after-frame.ts';
import { t } from '../words/words.ts';
import { personName } from './people.ts';
import { heldIn, readyIn, roomAt, standingOf } from './standing.ts';
import { clockTime } from './when.ts';

export interface ListsProps {
  readonly job: JobView;
  readonly onSelect: (id: string) => void;
}

/** Beside the drawing: what is held and why, then what can go on now. */
export function Lists(props: ListsProps) {
  const { job } = props;
  const held = heldIn(job);
  const ready = readyIn(job).filter((pole) => standingOf(pole) !== 'redo');
  const redo = readyIn(job).filter((pole) => standingOf(pole) === 'redo');
  return (
    <>
      <section class="list" aria-labelledby="list-held">
        <h2 id="list-held" class="list-title">
          {t('board.held')}
        </h2>
        {held.length === 0 ? (
          <p class="list-none">{t('board.held.none')}</p>
        ) : (
          <Lines poles={held} {...props} />
        )}
      </section>
      <section class="list" aria-labelledby="list-ready">
        <h2 id="list-ready" class="list-title">
          {t('board.ready')}
        </h2>
        {ready.length === 0 ? (
          <p class="list-none">
            {t(held.length === 0 ? 'board.ready.doneAll' : 'board.ready.none')}
          </p>
        ) : (
          <Lines poles={ready} {...props} />
        )}
      </section>
      {redo.length > 0 && (
        <section class="list" aria-labelledby="list-redo">
          <h2 id="list-redo" class="list-title">
            {t('board.reopened')}
          </h2>
          <Lines poles={redo} {...props} />
        </section>
      )}
    </>
  );
}

// A screen's height of them; then some more with each frame.
const first = 6;
const more = 40;

function Lines({ poles, job, onSelect }: ListsProps & { readonly poles: readonly PoleView[] }) {
  const count = useSoFar(poles.length, first, more);
  return (
    <ul>
      {poles.slice(0, count).map((pole) => (
        <Line key={pole.id} job={job} pole={pole} onSelect={onSelect} />
      ))}
    </ul>
  );
}

interface LineProps extends ListsProps {
  readonly pole: PoleView;
}

function Line({ job, pole, onSelect }: LineProps) {
  const standing = standingOf(pole);
  const where = [roomAt(job, pole.room_id)?.name, personName(pole.assigned_to)];
  return (
    <li class={`line line-${standing}`}>
      <svg class="line-sign" viewBox="0 0 20 20" aria-hidden="true">
        <path d={signs[standing]} />
      </svg>
      <div class="line-words">
        <button type="button" class="line-name" onClick={() => onSelect(pole.id)}>
          {pole.name}
        </button>
        <span class="line-where">
          {where.filter((word) => word !== undefined && word !== null).join(', ')}
        </span>
        {pole.sentence !== undefined && (
          <p class="line-sentence">
            <Words>{pole.sentence}</Words>
          </p>
        )}
        {pole.clears_at !== undefined && (
          <p class="line-clears">{t('board.clears', { time: clockTime(pole.clears_at) })}</p>
        )}
      </div>
    </li>
  );
}

// The pole's own marks: the notch, the cross, the carpenter's foot, a pencil line.
const signs = {
  held: 'M19 1L2 10L19 19Z',
  redo: 'M2 4L18 16M2 16L18 4',
  ready: 'M3 17L10 3L17 17',
  going: 'M3 10H17',
  done: 'M3 3H17V17H3Z',
} as const;
