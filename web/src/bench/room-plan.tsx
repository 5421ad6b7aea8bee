import type { RoomPlanView, RoomView } from '../api/views.ts';
import { outbox } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Drawing } from '../parts/drawing.tsx';
import { Finding } from '../parts/finding.tsx';
import { Words } from '../parts/fraction.tsx';
import { goTo } from '../router.ts';
import type { Unit } from '../rulebook/rulebook.ts';
import { t } from '../words/words.ts';
import { asList } from './as-list.ts';
import { places } from './places.ts';
import { type Taped, Taping } from './taping.tsx';
import { wantsTaping, withWaiting } from './walk.ts';
import './run-pieces.css';

export interface RoomPlanProps {
  readonly job: string;
  readonly unit: Unit;
  readonly room: RoomView;
  readonly plan: RoomPlanView;
  readonly onTape: (reading: string) => void;
}

/** The room itself: its walls to tape, its openings and runs to go to. */
export function RoomPlan(props: RoomPlanProps) {
  const { job, room, plan } = props;
  const wanted = withWaiting(plan.readings, room.id, outbox.waiting.value, room.id).find(
    wantsTaping,
  );
  return (
    <section class="room-plan-part" aria-label={t('room.plan')}>
      <div class="room-plan">
        <Drawing
          list={asList(plan.drawing)}
          onTouch={(key) => {
            if (plan.readings.some(({ name }) => name === key)) props.onTape(key);
            else goTo(places.item(job, key));
          }}
        />
      </div>
      <Closing plan={plan} />
      {wanted !== undefined && (
        <Button kind="main" wide onPress={() => props.onTape(wanted.name)}>
          {t(wanted.state === 'disagree' ? 'measure.settle' : 'measure.next', {
            reading: wanted.label,
          })}
        </Button>
      )}
    </section>
  );
}

/** How the walk closes, and what the rules say of it. */
export function Closing({ plan }: { plan: RoomPlanView }) {
  const mistakes = (plan.findings ?? []).filter(({ wanted }) => wanted !== true);
  return (
    <>
      {plan.known && plan.perimeter !== undefined && (
        <p class={plan.closes ? 'room-closes' : 'room-closes room-open'}>
          <Words>
            {plan.open_by === undefined
              ? t('walls.round', { round: plan.perimeter })
              : t(plan.closes ? 'walls.nearly' : 'walls.open', {
                  round: plan.perimeter,
                  by: plan.open_by,
                  allowed: plan.allowed ?? '',
                })}
          </Words>
        </p>
      )}
      {mistakes.map((finding) => (
        <Finding
          key={`${finding.code} ${finding.about ?? ''}`}
          severity={finding.severity}
          sentence={finding.sentence ?? finding.code}
          {...(finding.remedy === undefined ? {} : { remedy: finding.remedy })}
          {...(finding.basis === undefined ? {} : { basis: finding.basis })}
        />
      ))}
    </>
  );
}

/** Taping the room's walls, without any item. */
export function RoomTaping(props: {
  job: string;
  unit: Unit;
  room: RoomView;
  plan: RoomPlanView;
  reading: string;
  onReading: (reading: string | null) => void;
}) {
  const { plan, room } = props;
  // The parts of an item's view that taping needs, made from the room's.
  const view: Taped = {
    id: room.id,
    job_id: props.job,
    room_id: room.id,
    name: room.name,
    unit: props.unit,
    readings: plan.readings,
    drawing: plan.drawing,
    findings: plan.findings ?? [],
  };
  return <Taping view={view} reading={props.reading} onReading={props.onReading} />;
}
