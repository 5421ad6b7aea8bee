import { signal } from '@preact/signals';

export type RouteParams = Readonly<Record<string, string>>;

export interface Match<R> {
  readonly route: R;
  readonly params: RouteParams;
}

/** The first route whose pattern fits: "/bench/rooms/:room", or "/board/*" for all below it. */
export function matchRoute<R extends { readonly path: string }>(
  routes: readonly R[],
  pathname: string,
): Match<R> | null {
  const steps = stepsOf(pathname);
  for (const route of routes) {
    const params = fitSteps(stepsOf(route.path), steps);
    if (params !== null) return { route, params };
  }
  return null;
}

function fitSteps(pattern: readonly string[], steps: readonly string[]): RouteParams | null {
  const params: Record<string, string> = {};
  for (const [at, part] of pattern.entries()) {
    if (part === '*') return params;
    const step = steps[at];
    if (step === undefined) return null;
    if (part.startsWith(':')) params[part.slice(1)] = decode(step);
    else if (part !== step) return null;
  }
  return steps.length === pattern.length ? params : null;
}

function stepsOf(pathname: string): string[] {
  return pathname.split('/').filter((step) => step !== '');
}

function decode(step: string): string {
  try {
    return decodeURIComponent(step);
  } catch {
    return step; // a broken %-escape in an address someone typed
  }
}

/** Where the person is. Read it inside a component and the component follows. */
export const pathname = signal(location.pathname);

/** What is chosen there, as the address says it. */
export const hash = signal(location.hash);

/** What is asked for there, behind the ?. */
export const query = signal(location.search);

export function goTo(path: string, how: 'push' | 'replace' = 'push'): void {
  if (how === 'push') history.pushState(null, '', path);
  else history.replaceState(null, '', path);
  arrive();
  scrollTo(0, 0);
}

/** The address says what is chosen, so that it can be sent to somebody. Nothing moves. */
export function rename(path: string): void {
  history.replaceState(null, '', path);
  arrive();
}

function arrive(): void {
  pathname.value = location.pathname;
  hash.value = location.hash;
  query.value = location.search;
}

/** Makes plain links move within the app. Links with a target, a download or another origin go out. */
export function startRouter(): void {
  addEventListener('popstate', arrive);
  document.addEventListener('click', (event) => {
    if (event.defaultPrevented || event.button !== 0) return;
    if (event.metaKey || event.ctrlKey || event.shiftKey || event.altKey) return;
    const link = event.target instanceof Element ? event.target.closest('a') : null;
    if (link === null || link.target !== '' || link.hasAttribute('download')) return;
    const url = new URL(link.href, location.href);
    if (url.origin !== location.origin || url.pathname.startsWith('/api/')) return;
    event.preventDefault();
    goTo(url.pathname + url.search + url.hash);
  });
}
