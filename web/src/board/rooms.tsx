import { useEffect, useRef, useState } from 'preact/hooks';
import type { JobView, StageName } from '../api/views.ts';
import { today } from '../bench/when.ts';
import { pullJob } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Notice } from '../parts/notice.tsx';
import { goTo, hash, rename } from '../router.ts';
import { t } from '../words/words.ts';
import { changeWords } from './change-words.ts';
import type { Change } from './changes.ts';
import { Crew } from './crew.tsx';
import { unassigned } from './day.ts';
import { type BoardFilter, filtered, isFiltered } from './filter.ts';
import { useJob } from './following.ts';
import { JobFrame, jobHref } from './job-frame.tsx';
import { useKeys } from './keys.ts';
import { Lists } from './lists.tsx';
import { crew } from './people.ts';
import { Rod } from './rod.tsx';
import { RoomStrip } from './room-strip.tsx';
import { heldIn, poleAt, polesOf, readyIn, roomAt, standingOf, tally } from './standing.ts';
import { Stale, Standstill } from './standstill.tsx';
import { Strip } from './strip.tsx';
import type { Place } from './walk.ts';
import { Wall } from './wall.tsx';
import './rooms.css';
import './crew.css';

/** The board of a job: the house in section, what is held and why, what can go on. */
export function Rooms({ job }: { job: string }) {
  const { shown, changes } = useJob(job);
  const again = () => void pullJob(job);
  const view = shown.view;
  return (
    <JobFrame
      job={job}
      here="board"
      title={view?.name ?? t('board.title')}
      state={view !== undefined && view.address !== view.name ? view.address : undefined}
    >
      {view === undefined ? (
        <Standstill shown={shown} waiting={t('board.job.waiting')} again={again} />
      ) : (
        <>
          <Stale shown={shown} again={again} />
          {view.rooms.length === 0 ? (
            <Notice kind="empty" sentence={t('board.noRooms')} more={t('board.noRooms.more')}>
              <a class="button button-main" href={jobHref(job, 'set-up')}>
                {t('board.addRooms')}
              </a>
            </Notice>
          ) : (
            <House job={view} changes={changes} />
          )}
        </>
      )}
    </JobFrame>
  );
}

function House({ job, changes }: { job: JobView; changes: readonly Change[] }) {
  const [selected, setSelected] = useState<Place | null>(() => placeIn(location.hash));
  const [filter, setFilter] = useState<BoardFilter>({});
  const strip = useRef<HTMLElement>(null);
  // What the address was last seen to name: what was chosen here is not to be gone to once more.
  const named = useRef<string | null>(null);
  const opener = useRef<HTMLElement | null>(null);
  const sum = tally(polesOf(job));
  const part = filtered(job, filter);

  const select = (place: Place | null, open: boolean) => {
    named.current = hashOf(place);
    rename(location.pathname + location.search + named.current);
    if (place === null) {
      const back = selected;
      setSelected(null);
      focusPlace(back, opener.current);
      opener.current = null;
      return;
    }
    setSelected(place);
    bringUp(place);
    if (open) {
      opener.current =
        document.activeElement instanceof HTMLElement ? document.activeElement : null;
      requestAnimationFrame(() => strip.current?.focus({ preventScroll: true }));
    }
  };

  useEffect(() => {
    const onKey = (event: KeyboardEvent) => {
      if (event.key !== 'Escape' || event.defaultPrevented || selected === null) return;
      // A reason being written is not put away by a slip of the finger.
      if (event.target instanceof HTMLTextAreaElement && event.target.value !== '') return;
      select(null, false);
    };
    document.addEventListener('keydown', onKey);
    return () => document.removeEventListener('keydown', onKey);
  });

  const asked = hash.value;
  useEffect(() => {
    if (asked === named.current) return;
    named.current = asked;
    const place = placeIn(asked);
    if (place !== null) select(place, true);
  }, [asked]);

  const nextOf = (list: readonly { readonly id: string }[]) => {
    const at = list.findIndex(({ id }) => id === selected?.id);
    const next = list[(at + 1) % list.length];
    if (next !== undefined) select({ kind: 'pole', id: next.id }, true);
  };
  useKeys({
    h: () => nextOf(heldIn(part)),
    r: () => nextOf(readyIn(part).filter((one) => standingOf(one) === 'ready')),
    f: () => document.querySelector<HTMLElement>('.board-filter select')?.focus(),
    g: () => {
      const place = selected ?? placeUnder(document.activeElement);
      if (place === null) return;
      select(place, false);
      requestAnimationFrame(() => strip.current?.querySelector<HTMLElement>('.give-name')?.focus());
    },
  });

  const pole = selected?.kind === 'pole' ? poleAt(job, selected.id) : undefined;
  const room = selected?.kind === 'room' ? roomAt(job, selected.id) : undefined;
  const close = () => select(null, false);
  return (
    <div class={selected === null ? 'house' : 'house house-chosen'}>
      <div class="house-wall">
        <div class="house-sum">
          {sum.total > 0 && <Rod tally={sum} />}
          <a class="house-forecast" href={`${jobHref(job.id)}/forecast`}>
            {t('forecast.title')}
          </a>
          <p class="house-printed">{t('board.printed', { time: today() })}</p>
          <Latest changes={changes} />
          <Filter job={job} filter={filter} onFilter={setFilter} />
        </div>
        {part.rooms.length === 0 && job.rooms.length > 0 && (
          <Notice kind="empty" slim sentence={t('filter.none')}>
            <Button onPress={() => setFilter({})}>{t('filter.clear')}</Button>
          </Notice>
        )}
        <Wall job={part} selected={selected} fresh={changes} onSelect={select} />
      </div>
      <section
        class={`house-side ${selected === null ? '' : 'house-side-up'}`}
        ref={strip}
        tabIndex={-1}
        aria-label={pole?.name ?? room?.name ?? t('board.side')}
      >
        {pole !== undefined ? (
          <Strip key={pole.id} job={job} pole={pole} onClose={close} />
        ) : room !== undefined ? (
          <RoomStrip
            key={room.id}
            job={job}
            room={room}
            onClose={close}
            onAdd={() => goTo(`/board/jobs/${job.id}/rooms/${room.id}/new`)}
          />
        ) : null}
        <div class={selected === null ? 'house-lists' : 'house-lists house-lists-under'}>
          <Crew job={job} onSelect={(id) => select({ kind: 'pole', id }, true)} />
          <Lists job={part} onSelect={(id) => select({ kind: 'pole', id }, true)} />
        </div>
      </section>
    </div>
  );
}

interface FilterProps {
  readonly job: JobView;
  readonly filter: BoardFilter;
  readonly onFilter: (filter: BoardFilter) => void;
}

/** What of the board is shown: whose, at which stage, how it stands. */
function Filter({ job, filter, onFilter }: FilterProps) {
  const choose = (key: keyof BoardFilter, value: string) => {
    const { [key]: _, ...rest } = filter;
    onFilter(value === '*' ? rest : { ...rest, [key]: value });
  };
  const people = crew.value.map(({ id, name }) => ({ id, name }));
  if (unassigned(job).length > 0) people.push({ id: '', name: t('filter.person.nobody') });
  const lists = {
    person: people,
    stage: job.stages.map(({ stage, label }) => ({ id: stage as StageName, name: label })),
    standing: (['held', 'ready', 'redo'] as const).map((id) => ({
      id,
      name: t(`filter.standing.${id}`),
    })),
  };
  return (
    <fieldset class="board-filter">
      <legend class="unseen">{t('filter.label')}</legend>
      {(['person', 'stage', 'standing'] as const).map((key) => (
        <label key={key}>
          <span>{t(`filter.${key}`)}</span>
          <select
            value={filter[key] ?? '*'}
            onChange={(event) => choose(key, event.currentTarget.value)}
          >
            <option value="*">{t(`filter.${key}.all`)}</option>
            {lists[key].map(({ id, name }) => (
              <option key={id} value={id}>
                {name}
              </option>
            ))}
          </select>
        </label>
      ))}
      {isFiltered(filter) && (
        <Button kind="quiet" onPress={() => onFilter({})}>
          {t('filter.clear')}
        </Button>
      )}
    </fieldset>
  );
}

/** What an address says is chosen: #item-… or #room-…. */
function placeIn(said: string): Place | null {
  const [, kind, id] = /^#(item|room)-([0-9a-f-]{36})$/.exec(said) ?? [];
  if (id === undefined) return null;
  return { kind: kind === 'room' ? 'room' : 'pole', id };
}

function hashOf(place: Place | null): string {
  if (place === null) return '';
  return `#${place.kind === 'room' ? 'room' : 'item'}-${place.id}`;
}

function placeUnder(element: Element | null): Place | null {
  const said = element?.closest<HTMLElement>('[data-place]')?.dataset['place'];
  const [kind, id] = said?.split(':') ?? [];
  if (id === undefined) return null;
  return { kind: kind === 'room' ? 'room' : 'pole', id };
}

/** The newest change in one quiet line; those who hear the board are told as it comes. */
function Latest({ changes }: { changes: readonly Change[] }) {
  return (
    <p class="house-latest" role="status">
      {changes.slice(0, 2).map((change) => (
        <span key={`${change.id}-${change.seq}-${change.what}`} class="house-change">
          <ChangeLine change={change} />
        </span>
      ))}
    </p>
  );
}

function ChangeLine({ change }: { change: Change }) {
  return (
    <>
      <b>{change.name}</b> {changeWords(change)}
    </>
  );
}

/** On a phone the strip covers the lower part: what was chosen is brought above it. */
function bringUp(place: Place): void {
  if (!matchMedia('(max-width: 899px)').matches) return;
  requestAnimationFrame(() => {
    document
      .querySelector(`[data-place="${place.kind}:${place.id}"]`)
      ?.closest('.wall-row')
      ?.scrollIntoView({ block: 'start' });
  });
}

function focusPlace(place: Place | null, before: HTMLElement | null): void {
  requestAnimationFrame(() => {
    if (before?.isConnected && before.closest('.house-lists') !== null) {
      before.focus();
      return;
    }
    if (place === null) return;
    document
      .querySelector<HTMLElement>(`[data-place="${place.kind}:${place.id}"]`)
      ?.focus({ preventScroll: true });
  });
}
