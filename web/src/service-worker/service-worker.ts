/// <reference lib="webworker" />
import { PrecacheController } from 'workbox-precaching';
import type { Message } from './message.ts';
import { takePushes } from './push.ts';

// Runs as the service worker. It keeps the whole app on the device, so that a phone starts and
// works without a signal, and always the same version of every part: the page, its chunks, the rule
// book, the font. It never answers for the service: /api/ and its streams go past it.
declare const self: ServiceWorkerGlobalScope;

/** Every file of this build; scripts/service-worker.mjs writes the list in. */
declare const __FILES__: readonly Precached[];
/** The paths that the app draws itself, as the service knows them. */
declare const __SCREENS__: readonly string[];

interface Precached {
  readonly url: string;
  /** null where the name itself holds a hash. */
  readonly revision: string | null;
  readonly integrity: string;
}

const shell = new PrecacheController();
shell.addToCacheList([...__FILES__]);

self.addEventListener('install', (event) => {
  // All or nothing: a version with a file missing is never installed. What an interrupted install
  // had fetched is not fetched again.
  void shell.install(event);
  pass(event);
});

interface Routing {
  addRoutes?(rules: readonly Rule[]): Promise<void>;
}

interface Rule {
  readonly condition: { readonly urlPattern: { readonly pathname: string } };
  readonly source: { readonly cacheName: string };
}

/**
 * Where the browser can, it takes a build's files from the cache by itself: a screen's do not wait
 * their turn in this worker. Names in /assets/ hold a hash. Calls to the service are not passed this
 * way: an open stream would keep the next version of this worker from taking over.
 */
function pass(event: ExtendableEvent & Routing): void {
  const { cacheName } = shell.strategy;
  const routes = event.addRoutes?.([
    { condition: { urlPattern: { pathname: '/assets/*' } }, source: { cacheName } },
  ]);
  if (routes !== undefined) event.waitUntil(routes.catch(() => undefined));
}

self.addEventListener('activate', (event) => {
  event.waitUntil(
    (async () => {
      await tidy();
      // The first visit's page is looked after too, and not only after a reload.
      await self.clients.claim();
    })(),
  );
});

self.addEventListener('message', (event) => {
  const { kind } = event.data as Message;
  if (kind === 'take_over') event.waitUntil(self.skipWaiting());
  if (kind === 'take_over_if_alone') event.waitUntil(takeOverIfAlone());
});

takePushes(self);

self.addEventListener('fetch', (event) => {
  const { request } = event;
  const { origin, pathname, href } = new URL(request.url);
  if (request.method !== 'GET' || origin !== self.location.origin) return;
  if (pathname.startsWith('/api/')) return;
  if (request.mode === 'navigate') {
    const page = pageOf(pathname);
    if (page !== null) event.respondWith(kept(origin + page, request));
  } else if (pathname.startsWith('/assets/') || shell.getCacheKeyForURL(href) !== undefined) {
    event.respondWith(kept(href, request));
  }
});

/** The page that draws a screen, as the service would choose it; null where the app has no screen. */
function pageOf(pathname: string): string | null {
  const screen = ['/', ...__SCREENS__].find(
    (each) => pathname === each || (each !== '/' && pathname.startsWith(`${each}/`)),
  );
  if (screen === undefined) return null;
  const own = `${screen}.html`;
  return shell.getCacheKeyForURL(own) === undefined ? '/index.html' : own;
}

/** The file as it was installed, else from the service: a browser may have cleared the cache. */
async function kept(url: string, request: Request): Promise<Response> {
  const cache = await caches.open(shell.strategy.cacheName);
  // The service answers by encoding; what is kept is the file itself.
  const found = await cache.match(shell.getCacheKeyForURL(url) ?? url, { ignoreVary: true });
  return found ?? fetch(request);
}

async function takeOverIfAlone(): Promise<void> {
  const pages = await self.clients.matchAll({ type: 'window', includeUncontrolled: true });
  if (pages.length <= 1) await self.skipWaiting();
}

/*
 * A page of the version before may stay open for days, and still asks for chunks that it has not
 * shown yet. So each version leaves its predecessor's files, and takes away what is older.
 */
const note = '/service-worker/files';

async function tidy(): Promise<void> {
  const cache = await caches.open(shell.strategy.cacheName);
  const current = [...shell.getURLsToCacheKeys().values()];
  const noted = await cache.match(note);
  const before = noted === undefined ? [] : ((await noted.json()) as string[]);
  const keep = new Set([...current, ...before, new URL(note, self.location.href).href]);
  for (const request of await cache.keys()) {
    if (!keep.has(request.url)) await cache.delete(request);
  }
  await cache.put(note, new Response(JSON.stringify(current)));
}
