import boardWords from 'virtual:words/board';
import { useEffect } from 'preact/hooks';
import { pullPeople } from '../live/store.ts';
import { Notice } from '../parts/notice.tsx';
import { matchRoute, pathname } from '../router.ts';
import { Gate } from '../sign-in/gate.tsx';
import { addWords } from '../words/choose.ts';
import { t } from '../words/words.ts';
import { ForecastScreen } from './forecast-screen.tsx';
import { ImportScreen } from './import.tsx';
import { Jobs } from './jobs.tsx';
import { Log } from './log.tsx';
import { NewJob } from './new-job.tsx';
import { OpeningScreen } from './opening.tsx';
import { ProductsScreen } from './products.tsx';
import { Rooms } from './rooms.tsx';
import { RulesScreen } from './rules.tsx';
import { NewRunScreen } from './run-form.tsx';
import { SetUp } from './set-up.tsx';
import { WalksScreen } from './walks.tsx';
import { WallsScreen } from './walls.tsx';
import './board.css';

addWords(boardWords);

export { showFirst } from '../live/store.ts';

const places = [
  { path: '/board', show: () => <Jobs /> },
  { path: '/board/new', show: () => <NewJob /> },
  { path: '/board/jobs/:job', show: (p: Params) => <Rooms key={p['job']} job={of(p, 'job')} /> },
  { path: '/board/jobs/:job/set-up', show: (p: Params) => <SetUp job={of(p, 'job')} /> },
  { path: '/board/jobs/:job/import', show: (p: Params) => <ImportScreen job={of(p, 'job')} /> },
  {
    path: '/board/jobs/:job/rooms/:room/new',
    show: (p: Params) => <OpeningScreen key="new" job={of(p, 'job')} room={of(p, 'room')} />,
  },
  {
    path: '/board/jobs/:job/rooms/:room/walls',
    show: (p: Params) => <WallsScreen key={p['room']} job={of(p, 'job')} room={of(p, 'room')} />,
  },
  {
    path: '/board/jobs/:job/rooms/:room/run',
    show: (p: Params) => <NewRunScreen key={p['room']} job={of(p, 'job')} room={of(p, 'room')} />,
  },
  {
    path: '/board/jobs/:job/items/:item',
    show: (p: Params) => <OpeningScreen key={p['item']} job={of(p, 'job')} item={of(p, 'item')} />,
  },
  { path: '/board/jobs/:job/rules', show: (p: Params) => <RulesScreen job={of(p, 'job')} /> },
  {
    path: '/board/jobs/:job/rules/products',
    show: (p: Params) => <ProductsScreen job={of(p, 'job')} />,
  },
  {
    path: '/board/jobs/:job/rules/rooms/:room',
    show: (p: Params) => <RulesScreen key={p['room']} job={of(p, 'job')} room={of(p, 'room')} />,
  },
  {
    path: '/board/jobs/:job/rules/items/:item',
    show: (p: Params) => <RulesScreen key={p['item']} job={of(p, 'job')} item={of(p, 'item')} />,
  },
  { path: '/board/jobs/:job/walks', show: (p: Params) => <WalksScreen job={of(p, 'job')} /> },
  { path: '/board/jobs/:job/forecast', show: (p: Params) => <ForecastScreen job={of(p, 'job')} /> },
  { path: '/board/jobs/:job/log', show: (p: Params) => <Log key={p['job']} job={of(p, 'job')} /> },
] as const;

type Params = Readonly<Record<string, string>>;

function of(params: Params, name: string): string {
  return params[name] ?? '';
}

/** The lead's surface: the jobs, a job's board, its set-up, house rules and log. */
export function Board() {
  return <Gate>{() => <Place />}</Gate>;
}

function Place() {
  const match = matchRoute(places, pathname.value);
  useEffect(() => {
    void pullPeople();
  }, []);
  if (match === null) {
    return (
      <main>
        <Notice kind="gone" sentence={t('app.away')} more={t('app.away.more')}>
          <a class="button button-line" href="/board">
            {t('board.toJobs')}
          </a>
        </Notice>
      </main>
    );
  }
  return match.route.show(match.params);
}
