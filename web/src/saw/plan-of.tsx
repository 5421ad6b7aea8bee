import { useState } from 'preact/hooks';
import type { RoomView } from '../api/views.ts';
import { Button } from '../parts/button.tsx';
import { Sheet } from '../parts/sheet.tsx';
import { t } from '../words/words.ts';
import type { PlanAsk } from './stock.ts';

type Asked = Pick<PlanAsk, 'rooms' | 'items'>;

/** Which of the job's openings and runs an ask is for. */
export function chosenBy(ask: Asked | undefined, rooms: readonly RoomView[]): ReadonlySet<string> {
  const all = (ask?.rooms ?? []).length === 0 && (ask?.items ?? []).length === 0;
  return new Set(
    rooms.flatMap((room) =>
      room.items
        .filter(({ id }) => all || ask?.rooms?.includes(room.id) || ask?.items?.includes(id))
        .map(({ id }) => id),
    ),
  );
}

/** The ask for those: nothing for all of the job, whole rooms by their room. */
export function askFor(chosen: ReadonlySet<string>, rooms: readonly RoomView[]): Asked {
  const filled = rooms.filter(({ items }) => items.length > 0);
  const whole = filled.filter(({ items }) => items.every(({ id }) => chosen.has(id)));
  if (whole.length === filled.length) return {};
  const items = filled
    .filter((room) => !whole.includes(room))
    .flatMap((room) => room.items.filter(({ id }) => chosen.has(id)).map(({ id }) => id));
  return {
    ...(whole.length === 0 ? {} : { rooms: whole.map(({ id }) => id) }),
    ...(items.length === 0 ? {} : { items }),
  };
}

/** An ask in a line: the rooms, and what else. Empty for all of the job. */
export function saidOf(ask: Asked, rooms: readonly RoomView[]): string {
  return rooms
    .flatMap((room) =>
      ask.rooms?.includes(room.id)
        ? [room.name]
        : room.items.filter(({ id }) => ask.items?.includes(id)).map(({ name }) => name),
    )
    .join(', ');
}

/** Rooms, and in them openings and runs, to plan the saw for. */
export function PlanOf(props: {
  rooms: readonly RoomView[];
  asked: Asked;
  onClose: () => void;
  onPlan: (asked: Asked) => void;
}) {
  const rooms = props.rooms.filter(({ items }) => items.length > 0);
  const [chosen, setChosen] = useState(() => chosenBy(props.asked, rooms));
  const set = (ids: readonly string[], on: boolean) => {
    const next = new Set(chosen);
    for (const id of ids) {
      if (on) next.add(id);
      else next.delete(id);
    }
    setChosen(next);
  };
  return (
    <Sheet name={t('saw.of.title')} nameShown modal onClose={props.onClose}>
      <div class="saw-sheet">
        <div class="plan-of">
          {rooms.map((room) => {
            const ids = room.items.map(({ id }) => id);
            const count = ids.filter((id) => chosen.has(id)).length;
            return (
              <fieldset key={room.id} class="plan-room">
                <legend class="unseen">{room.name}</legend>
                <Check
                  label={room.name}
                  strong
                  checked={count === ids.length}
                  some={count > 0 && count < ids.length}
                  onChange={(on) => set(ids, on)}
                />
                {room.items.map(({ id, name }) => (
                  <Check
                    key={id}
                    label={name}
                    checked={chosen.has(id)}
                    onChange={(on) => set([id], on)}
                  />
                ))}
              </fieldset>
            );
          })}
        </div>
        <Button
          kind="main"
          wide
          disabled={chosen.size === 0}
          onPress={() => props.onPlan(askFor(chosen, rooms))}
        >
          {t('saw.of.plan', { count: chosen.size })}
        </Button>
      </div>
    </Sheet>
  );
}

function Check(props: {
  label: string;
  checked: boolean;
  some?: boolean;
  strong?: boolean;
  onChange: (on: boolean) => void;
}) {
  return (
    <label class={props.strong ? 'plan-check plan-whole' : 'plan-check'}>
      <input
        type="checkbox"
        checked={props.checked}
        ref={(box) => {
          if (box !== null) box.indeterminate = props.some ?? false;
        }}
        onChange={(event) => props.onChange(event.currentTarget.checked)}
      />
      <span>{props.label}</span>
    </label>
  );
}
