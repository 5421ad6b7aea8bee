import type { ComponentType } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { NotLoaded } from './parts/not-loaded.tsx';
import { Notice } from './parts/notice.tsx';
import { matchRoute, pathname, type RouteParams } from './router.ts';
import { wordsReady } from './words/choose.ts';
import { t } from './words/words.ts';

export type Screen = ComponentType<{ params: RouteParams }>;

export interface Route {
  readonly path: string;
  /** Each surface is its own chunk: the bench's phone never loads the board. */
  readonly load: () => Promise<Screen>;
}

export const routes: readonly Route[] = [
  { path: '/', load: bench },
  { path: '/bench/*', load: bench },
  { path: '/walk', load: () => import('./walk/walk.tsx').then((file) => file.Walk) },
  { path: '/saw/*', load: () => import('./saw/saw.tsx').then((file) => file.Saw) },
  { path: '/join', load: () => import('./join/join.tsx').then((file) => file.Join) },
  { path: '/you', load: () => import('./you/you.tsx').then((file) => file.You) },
  { path: '/board/crew', load: () => import('./crew/crew.tsx').then((file) => file.Crew) },
  { path: '/board/*', load: board },
];

/** True once a surface has found its screen among what the device kept. */
let stands = false;

// What this device kept of the screen is there before the screen is: it is drawn once, and whole.
async function bench(): Promise<Screen> {
  const { Bench, showFirst } = await import('./bench/bench.tsx');
  stands = await showFirst(pathname.peek());
  return Bench;
}

async function board(): Promise<Screen> {
  const { Board, showFirst } = await import('./board/board.tsx');
  stands = await showFirst(pathname.peek());
  return Board;
}

async function load(route: Route): Promise<Screen> {
  const Screen = await route.load();
  await wordsReady();
  return Screen;
}

export interface Loaded {
  readonly route: Route;
  readonly Screen: Screen;
  /** Set for a page's first: drawn from what the device kept, with nothing to wait for. */
  readonly stands?: boolean;
}

/** The surface the page was opened at; null where there is none, or it is not to be had. */
export async function loadFirst(): Promise<Loaded | null> {
  const match = matchRoute(routes, pathname.peek());
  if (match === null) return null;
  try {
    return { route: match.route, Screen: await load(match.route), stands };
  } catch {
    return null; // the app tries again, and says so
  }
}

export function App(props: { first: Loaded | null }) {
  const match = matchRoute(routes, pathname.value);
  const [screen, setScreen] = useState(props.first);
  const [failed, setFailed] = useState(false);
  const route = match?.route;

  useEffect(() => {
    if (route === undefined || route === screen?.route) return;
    let here = true;
    setFailed(false);
    load(route).then(
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
  if (failed) return <NotLoaded />;
  if (screen === null) return <main aria-busy="true" />;
  return <screen.Screen params={match.params} />;
}
