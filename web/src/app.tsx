import type { ComponentType } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { Notice } from './parts/notice.tsx';
import { matchRoute, pathname, type RouteParams } from './router.ts';
import { t } from './words/words.ts';

export type Screen = ComponentType<{ params: RouteParams }>;

export interface Route {
  readonly path: string;
  /** Each surface is its own chunk: the bench's phone never loads the board. */
  readonly load: () => Promise<Screen>;
}

export const routes: readonly Route[] = [
  { path: '/', load: () => import('./bench/bench.tsx').then((file) => file.Bench) },
  { path: '/bench/*', load: () => import('./bench/bench.tsx').then((file) => file.Bench) },
  { path: '/walk', load: () => import('./walk/walk.tsx').then((file) => file.Walk) },
  { path: '/saw/*', load: () => import('./saw/saw.tsx').then((file) => file.Saw) },
  { path: '/you', load: () => import('./you/you.tsx').then((file) => file.You) },
  { path: '/board/*', load: () => import('./board/board.tsx').then((file) => file.Board) },
];

export function App() {
  const match = matchRoute(routes, pathname.value);
  const [screen, setScreen] = useState<{ route: Route; Screen: Screen } | null>(null);
  const [failed, setFailed] = useState(false);
  const route = match?.route;

  useEffect(() => {
    if (route === undefined) return;
    let here = true;
    setFailed(false);
    route.load().then(
      (Screen) => {
        if (here) setScreen({ route, Screen });
      },
      () => {
        if (here) setFailed(true);
      },
    );
    return () => {
      here = false;
    };
  }, [route]);

  if (match === null) {
    return (
      <main>
        <Notice kind="gone" sentence={t('app.away')} more={t('app.away.more')}>
          <a href="/bench">{t('app.toBench')}</a>
        </Notice>
      </main>
    );
  }
  if (failed) {
    return (
      <main>
        <Notice kind="offline" sentence={t('app.notLoaded')} more={t('app.notLoaded.more')}>
          <a href={pathname.value} target="_self">
            {t('action.tryAgain')}
          </a>
        </Notice>
      </main>
    );
  }
  if (screen === null) return <main aria-busy="true" />;
  return <screen.Screen params={match.params} />;
}
