import { useEffect, useMemo, useState } from 'preact/hooks';
import { serviceNow } from '../api/clock.ts';
import type { ItemView, StageName, StageView } from '../api/views.ts';
import { itemView, personName, pullItem, watch } from '../live/store.ts';
import { Notice } from '../parts/notice.tsx';
import { TopBar } from '../parts/rail.tsx';
import { goTo } from '../router.ts';
import { useFile } from '../shell/use-file.ts';
import { t } from '../words/words.ts';
import { DeviceSigns } from './device-signs.tsx';
import { Waiting } from './home.tsx';
import { ItemBar } from './item-bar.tsx';
import { ItemPole } from './item-pole.tsx';
import { More } from './more.tsx';
import { StagePanel } from './panel.tsx';
import { places } from './places.ts';
import { Remarks } from './remarks.tsx';
import { BehindSign, SyncSign, useTitle } from './sign.tsx';
import { Taping } from './taping.tsx';
import './item.css';

/** One item: its pole at the side, the stage at hand opened, the tick under the thumb. */
export function ItemScreen(props: { job: string; item: string; stage?: StageName }) {
  const { job, item } = props;
  const shown = itemView(item).value;
  const { view } = shown;
  const [taping, setTaping] = useState<string | null>(null);
  // The tape and the cuts are there before the photos are.
  const photos = useFile(() => import('./photos.tsx'));
  useTitle(view?.name ?? '');
  useEffect(() => {
    void pullItem(job, item);
    return watch(job, item);
  }, [job, item]);
  usePullWhenDry(view);

  if (view === undefined) {
    return (
      <>
        <TopBar
          title={shown.gone === undefined ? '' : t('item.gone')}
          back={{ href: places.home, label: t('bench.title') }}
        />
        <main>
          {shown.gone === undefined ? (
            <Waiting offline={shown.offline === true} again={() => void pullItem(job, item)} />
          ) : (
            <Notice kind="gone" sentence={shown.gone} more={t('item.gone.more')} />
          )}
        </main>
      </>
    );
  }
  if (view.removed !== undefined) {
    return (
      <>
        <TopBar
          title={view.name}
          back={{ href: places.room(job, view.room_id), label: view.room_name }}
        >
          <SyncSign />
        </TopBar>
        <main class="item-removed">
          <Notice
            kind="gone"
            sentence={t('item.removed', { reason: view.removed.reason })}
            more={t('item.removed.more')}
          />
          <More view={view} />
        </main>
      </>
    );
  }
  if (taping !== null) {
    return <Taping view={view} reading={taping} onReading={setTaping} />;
  }
  const stage = stageAtHand(view, props.stage);
  const open = (name: StageName) => goTo(places.item(job, item, name), 'replace');
  return (
    <>
      <TopBar title={view.name}>
        <SyncSign quiet />
      </TopBar>
      <main class="item">
        <p class="item-where">
          {view.room_name}, {t(`level.${view.level}`)}
          {personName(view.assigned_to) !== '' && <> · {personName(view.assigned_to)}</>}
        </p>
        <ItemPole stages={view.stages} open={stage.stage} onOpen={open} />
        <div class="item-work">
          <DeviceSigns />
          <BehindSign shown={shown} />
          <Remarks view={view} />
          <StagePanel key={stage.stage} view={view} stage={stage} onTape={setTaping} />
          {photos && <photos.Photos view={view} />}
        </div>
        <ItemBar
          view={view}
          stage={stage}
          onDone={() => goTo(places.item(job, item), 'replace')}
          onTape={setTaping}
        />
      </main>
    </>
  );
}

/** The stage asked for, else the one that wants looking at, else the last. */
function stageAtHand(view: ItemView, asked: StageName | undefined): StageView {
  const name = asked ?? view.next?.stage;
  const found = view.stages.find(({ stage }) => stage === name) ?? view.stages.at(-1);
  if (found === undefined) throw new Error('an item without stages');
  return found;
}

/** Paint dries without anyone entering anything: the view is asked for again when it should be dry. */
function usePullWhenDry(view: ItemView | undefined): void {
  const next = useMemo(() => {
    if (view === undefined) return null;
    const times = [
      ...(view.findings ?? []).map(({ clears_at }) => clears_at),
      ...(view.holes ?? []).map(({ sand_at }) => sand_at),
    ].flatMap((at) => (at === undefined ? [] : [Date.parse(at)]));
    const ahead = times.filter((at) => at > serviceNow().getTime());
    return ahead.length === 0 ? null : Math.min(...ahead);
  }, [view]);
  useEffect(() => {
    if (next === null || view === undefined) return;
    const wait = Math.min(next - serviceNow().getTime() + 1_000, 6 * 3_600_000);
    const timer = setTimeout(() => void pullItem(view.job_id, view.id), wait);
    return () => clearTimeout(timer);
  }, [next, view]);
}
