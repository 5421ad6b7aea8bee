// biome-ignore-all lint/a11y/useFocusableInteractive: in a grid the row is walked and chosen, its cells are only heard
// biome-ignore-all lint/a11y/useKeyWithClickEvents: keys are taken by the grid itself, for whichever row has the focus
import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
import type { JobView, RoomView } from '../api/views.ts';
import { useSoFar } from '../shell/after-frame.ts';
import { t } from '../words/words.ts';
import { changeWords } from './change-words.ts';
import type { Change } from './changes.ts';
import { dragStart } from './crew.tsx';
import { crew, personName } from './people.ts';
import { Post } from './post.tsx';
import {
  type Laid,
  layOut,
  type Row,
  type Scale,
  type Stretch,
  scaleFor,
  scaleForPaper,
} from './rows.ts';
import { polesOf } from './standing.ts';
import { firstPlace, hasPlace, type Place, walk } from './walk.ts';

export interface WallProps {
  readonly job: JobView;
  readonly selected: Place | null;
  readonly fresh: readonly Change[];
  /** `open` asks for the strip to take the keyboard. */
  readonly onSelect: (place: Place | null, open: boolean) => void;
}

// The chalked levels' names stand left of the first pole.
const lettering = { wide: 86, narrow: 62 };
// Rows that a screen begins with, and that follow with each frame.
const screenful = 3;
// What landscape letter paper leaves inside its margins, at 96 to the inch: 11 in less 2 × 0.4.
const paper = 979;

/**
 * The house in section: every storey's rooms stand on their floor, every opening's pole in its
 * room, and the stages are levels chalked across them all.
 */
export function Wall(props: WallProps) {
  const { job, selected, onSelect } = props;
  const root = useRef<HTMLDivElement>(null);
  const width = useWidth(root);
  const laid = useLaid(job.rooms, polesOf(job).length, width);
  const [stand, setStand] = useState<Place | null>(null);
  const here = selected ?? stand;
  const tabStop = here !== null && hasPlace(laid.house, here) ? here : firstPlace(laid.house);

  const go = (place: Place) => {
    setStand(place);
    if (selected !== null) onSelect(place, false);
    const spot = root.current?.querySelector<HTMLElement>(
      `[data-place="${place.kind}:${place.id}"]`,
    );
    spot?.focus();
    spot?.scrollIntoView({ block: 'nearest' });
  };

  const onKeyDown = (event: KeyboardEvent) => {
    if (tabStop === null || event.altKey || event.metaKey) return;
    if (event.key === 'Enter' || event.key === ' ') {
      event.preventDefault();
      onSelect(tabStop, true);
      return;
    }
    if (event.key === 'Escape' && selected !== null) {
      event.preventDefault();
      setStand(selected);
      onSelect(null, false);
      return;
    }
    const to = walk(laid.house, tabStop, event.key, event.ctrlKey);
    if (to === null) return;
    event.preventDefault();
    go(to);
  };

  const choose = useStable((place: Place, open: boolean) => {
    setStand(place);
    onSelect(place, open);
  });
  const choosePole = useStable((id: string, open: boolean) => choose({ kind: 'pole', id }, open));
  const chooseRoom = useStable((id: string, open: boolean) => choose({ kind: 'room', id }, open));

  // What is chosen may stand anywhere, and is brought up: then all rows are there from the first.
  const all = laid.house.flatMap(({ level, label, rows }) =>
    rows.map((row, index) => ({
      key: `${level}-${index}`,
      row,
      storey: index === 0 ? label : null,
    })),
  );
  const [begin] = useState(selected === null ? screenful : Number.POSITIVE_INFINITY);
  const count = useSoFar(width > 0 ? all.length : 0, begin, screenful);
  const labels = laid.scale.name === 'close' || width < 560 ? lettering.narrow : lettering.wide;
  return (
    <div
      ref={root}
      class={`wall wall-${laid.scale.name}`}
      role="grid"
      aria-label={t('board.table')}
      aria-describedby="wall-keys"
      onKeyDown={onKeyDown}
      style={{
        '--rise': `${laid.scale.rise}px`,
        '--levels': String(job.stages.length),
        '--lettering': `${labels}px`,
      }}
    >
      <span id="wall-keys" hidden>
        {t('board.keys')}
      </span>
      <div role="row" class="unseen">
        <span role="columnheader">{t('board.opening')}</span>
        {job.stages.map(({ stage, label }) => (
          <span role="columnheader" key={stage}>
            {label}
          </span>
        ))}
        <span role="columnheader">{t('board.with')}</span>
        <span role="columnheader">{t('board.nextThing')}</span>
      </div>
      {all.slice(0, count).map(({ key, row, storey }) => (
        <WallRow
          key={key}
          row={row}
          storey={storey}
          job={job}
          laid={laid}
          tabStop={tabStop}
          selected={selected}
          fresh={props.fresh}
          choosePole={choosePole}
          chooseRoom={chooseRoom}
        />
      ))}
    </div>
  );
}

interface WallRowProps {
  readonly row: Row;
  readonly storey: string | null;
  readonly job: JobView;
  readonly laid: Laid;
  readonly tabStop: Place | null;
  readonly selected: Place | null;
  readonly fresh: readonly Change[];
  readonly choosePole: (id: string, open: boolean) => void;
  readonly chooseRoom: (id: string, open: boolean) => void;
}

function WallRow(props: WallRowProps) {
  const { row, job, laid, tabStop, selected } = props;
  const { column, gap, scale } = laid;
  return (
    <div class="wall-row" role="presentation">
      <div
        class="levels"
        aria-hidden="true"
        style={{ height: `${job.stages.length * scale.rise}px` }}
      >
        {job.stages.map(({ stage, label }, index) => (
          <span class="level" key={stage} style={{ bottom: `${(index + 1) * scale.rise}px` }}>
            <span class="level-name">{label}</span>
          </span>
        ))}
        <span class="level level-floor">
          {props.storey !== null && <span class="level-storey">{props.storey}</span>}
        </span>
      </div>
      <div class="wall-rooms" role="presentation" style={{ gap: `${Math.round(gap * column)}px` }}>
        {row.stretches.map((stretch) => (
          <div
            key={stretch.room.id}
            role="rowgroup"
            class="wall-room"
            aria-label={stretch.room.name}
            style={{ width: `${Math.round(stretch.width * column)}px` }}
          >
            <div class="wall-poles" role="presentation">
              {stretch.items.map((pole) => (
                <Post
                  key={pole.id}
                  pole={pole}
                  levels={job.stages}
                  scale={scale}
                  column={column}
                  selected={selected?.kind === 'pole' && selected.id === pole.id}
                  tabStop={tabStop?.kind === 'pole' && tabStop.id === pole.id}
                  fresh={freshWords(props.fresh, pole.id)}
                  person={ownPerson(stretch.room, pole.assigned_to)}
                  onSelect={props.choosePole}
                />
              ))}
            </div>
            <RoomName
              stretch={stretch}
              selected={selected?.kind === 'room' && selected.id === stretch.room.id}
              tabStop={
                tabStop?.kind === 'room' && tabStop.id === stretch.room.id && !stretch.continued
              }
              fresh={freshWords(props.fresh, stretch.room.id)}
              onSelect={props.chooseRoom}
            />
          </div>
        ))}
      </div>
    </div>
  );
}

interface RoomNameProps {
  readonly stretch: Stretch;
  readonly selected: boolean;
  readonly tabStop: boolean;
  readonly fresh: string | null;
  readonly onSelect: (id: string, open: boolean) => void;
}

/** The room's name under its floor, with who is in it. It can be chosen like a pole. */
function RoomName({ stretch, selected, tabStop, fresh, onSelect }: RoomNameProps) {
  const { room, continued, items } = stretch;
  if (continued) {
    return (
      <div role="row" class="room-name room-continued">
        <span role="rowheader">{t('board.continued', { room: room.name })}</span>
      </div>
    );
  }
  const person = personName(room.assigned_to);
  return (
    <div
      role="row"
      class={`room-name ${selected ? 'room-selected' : ''}`}
      data-place={`room:${room.id}`}
      tabIndex={tabStop ? 0 : -1}
      aria-selected={selected}
      draggable
      onDragStart={(event) => dragStart(event, { kind: 'room', id: room.id })}
      onClick={() => onSelect(room.id, false)}
      onDblClick={() => onSelect(room.id, true)}
    >
      <span role="rowheader">
        <span class="room-title">{room.name}</span>
        <span class="room-person">
          {person ?? (room.assigned_to === undefined ? t('board.nobodyYet') : '')}
        </span>
        {items.length === 0 && <span class="room-person">{t('board.noOpenings')}</span>}
        {fresh !== null && <span class="post-fresh">{fresh}</span>}
      </span>
    </div>
  );
}

function ownPerson(room: RoomView, person: string | undefined): string | null {
  if (person === undefined || person === room.assigned_to) return null;
  // Read here, not in the pole: a pole is drawn again only when what it is given changes.
  return crew.value.find(({ id }) => id === person)?.name ?? null;
}

function freshWords(fresh: readonly Change[], id: string): string | null {
  const change = fresh.find((one) => one.id === id);
  return change === undefined ? null : changeWords(change);
}

function useLaid(rooms: readonly RoomView[], openings: number, width: number): Laid {
  const [printing, setPrinting] = useState(false);
  useEffect(() => {
    const on = () => setPrinting(true);
    const off = () => setPrinting(false);
    addEventListener('beforeprint', on);
    addEventListener('afterprint', off);
    return () => {
      removeEventListener('beforeprint', on);
      removeEventListener('afterprint', off);
    };
  }, []);
  const full = printing ? paper : width;
  const scale: Scale = printing ? scaleForPaper(openings) : scaleFor(openings, width);
  const labels = scale.name === 'close' || full < 560 ? lettering.narrow : lettering.wide;
  return layOut(rooms, Math.max(full - labels, 1), scale);
}

/** The width an element has, followed as it changes. */
function useWidth(root: { readonly current: HTMLElement | null }): number {
  const [width, setWidth] = useState(0);
  // Before anything is painted: the rows are in the first frame.
  useLayoutEffect(() => {
    const box = root.current;
    if (box === null) return;
    const watch = new ResizeObserver(() => setWidth(box.clientWidth));
    setWidth(box.clientWidth);
    watch.observe(box);
    return () => watch.disconnect();
  }, [root]);
  return width;
}

/** One function for as long as the component lives, so that poles given it are not drawn again. */
function useStable<A extends unknown[]>(act: (...args: A) => void): (...args: A) => void {
  const latest = useRef(act);
  latest.current = act;
  const stable = useRef((...args: A) => latest.current(...args));
  return stable.current;
}
