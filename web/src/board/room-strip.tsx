import type { JobView, RoomView } from '../api/views.ts';
import { Button } from '../parts/button.tsx';
import { t } from '../words/words.ts';
import { Give } from './give.tsx';
import { Rod } from './rod.tsx';
import { tally } from './standing.ts';
import { StripHead } from './strip-head.tsx';
import './strip.css';

export interface RoomStripProps {
  readonly job: JobView;
  readonly room: RoomView;
  readonly onClose: () => void;
  readonly onAdd: () => void;
}

/** The chosen room: how far along it is, who has it, and what can be added to it. */
export function RoomStrip({ job, room, onClose, onAdd }: RoomStripProps) {
  const sum = tally(room.items);
  return (
    <div class="chosen">
      <StripHead title={room.name} under={room.level_label} onClose={onClose} />
      {sum.total > 0 && (
        <div class="chosen-rod">
          <Rod tally={sum} />
        </div>
      )}
      <Give job={job.id} room={room.id} name={room.name} to={room.assigned_to} />
      <div class="chosen-ways">
        <Button kind="main" onPress={onAdd}>
          {t('board.addOpening')}
        </Button>
      </div>
      <p class="chosen-foot">
        <a href={`/board/jobs/${job.id}/rules/rooms/${room.id}`}>{t('board.rulesHere')}</a>
      </p>
    </div>
  );
}
