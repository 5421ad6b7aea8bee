import { useEffect } from 'preact/hooks';
import type { StageName } from '../api/views.ts';
import { NotLoaded } from '../parts/not-loaded.tsx';
import { Notice } from '../parts/notice.tsx';
import { stageOrder } from '../parts/stages.ts';
import { matchRoute, pathname, type RouteParams } from '../router.ts';
import { fetchRules } from '../rulebook/load.ts';
import { useFile } from '../shell/use-file.ts';
import { Gate } from '../sign-in/gate.tsx';
import { t } from '../words/words.ts';
import { Home } from './home.tsx';
import { ItemScreen } from './item.tsx';
import { RoomScreen } from './room.tsx';
import './bench.css';

export { showFirst } from '../live/store.ts';

interface Place {
  readonly path: string;
  readonly show: (params: RouteParams) => preact.JSX.Element;
}

const inside: readonly Place[] = [
  { path: '/', show: () => <Home /> },
  { path: '/bench', show: () => <Home /> },
  { path: '/bench/unsent', show: () => <UnsentScreen /> },
  {
    path: '/bench/jobs/:job/rooms/:room',
    show: ({ job = '', room = '' }) => <RoomScreen key={room} job={job} room={room} />,
  },
  {
    path: '/bench/jobs/:job/items/:item',
    show: ({ job = '', item = '' }) => <ItemScreen key={item} job={job} item={item} />,
  },
  {
    path: '/bench/jobs/:job/items/:item/:stage',
    show: ({ job = '', item = '', stage = '' }) => (
      <ItemScreen key={item} job={job} item={item} {...(isStage(stage) ? { stage } : {})} />
    ),
  },
];

/** The installer's surface: my rooms, a room, an item. */
export function Bench() {
  // After the first screen: the rules are large, and what is kept here shows without them. A screen
  // that needs them does not wait for this.
  useEffect(() => {
    const timer = setTimeout(fetchRules, 3_000);
    return () => clearTimeout(timer);
  }, []);
  const match = matchRoute(inside, pathname.value);
  return (
    <Gate>
      {() =>
        match === null ? (
          <main>
            <Notice kind="gone" sentence={t('app.away')} more={t('app.away.more')}>
              <a class="button button-line" href="/bench">
                {t('app.toBench')}
              </a>
            </Notice>
          </main>
        ) : (
          match.route.show(match.params)
        )
      }
    </Gate>
  );
}

/** What needs its author is rare: its file comes when the screen is opened. */
function UnsentScreen() {
  const file = useFile(() => import('./unsent.tsx'));
  if (file === undefined) return <NotLoaded />;
  return file === null ? <main aria-busy="true" /> : <file.Unsent />;
}

function isStage(stage: string): stage is StageName {
  return (stageOrder as readonly string[]).includes(stage);
}
