/*
 * A new version of the app, from found to running. It is fetched whole behind the old one's back and
 * waits; the old page goes on. It takes over when the person agrees, or when the app has just been
 * opened and no other page is. What is kept on the device is not touched by any of it: entries that
 * wait are commands, and the service accepts those of every version.
 */
import { type ReadonlySignal, signal } from '@preact/signals';
import type { Message } from '../service-worker/message.ts';

export interface Updating {
  /** A newer version is here, whole, and this page is not it. */
  readonly ready: ReadonlySignal<boolean>;
  /** The person agreed: the new version takes over and the page starts anew. */
  start(): void;
}

/** The parts of the browser this needs; tests hand in their own. */
export interface UpdatePlace {
  readonly workers: Pick<
    ServiceWorkerContainer,
    'controller' | 'register' | 'addEventListener' | 'getRegistration'
  >;
  /** True once the person has touched or typed anything since the page was opened. */
  readonly touched: () => boolean;
  readonly reload: () => void;
}

export async function watchUpdates(place: UpdatePlace): Promise<Updating> {
  const { workers, touched, reload } = place;
  const ready = signal(false);
  let agreed = false;
  let waiting: ServiceWorker | null = null;

  // The first version ever takes this page over as well; nothing is new about it.
  let mine = workers.controller;
  workers.addEventListener('controllerchange', () => {
    const first = mine === null;
    mine = workers.controller;
    if (first) return;
    if (agreed || !touched()) reload();
    // Another page agreed. This one's files are still kept, so it goes on until it is asked.
    else ready.value = true;
  });

  const say = (worker: ServiceWorker, kind: Message['kind']) => {
    worker.postMessage({ kind } satisfies Message);
  };

  const registration = await workers.register('/sw.js');
  const look = () => {
    waiting = registration.waiting;
    if (waiting === null || workers.controller === null) return;
    ready.value = true;
    if (!touched()) say(waiting, 'take_over_if_alone');
  };
  registration.addEventListener('updatefound', () => {
    const coming = registration.installing;
    coming?.addEventListener('statechange', () => {
      if (coming.state === 'installed') look();
    });
  });
  look();

  return {
    ready,
    start() {
      agreed = true;
      // Nothing waits when another page has let it in already.
      if (registration.waiting === null) reload();
      else say(registration.waiting, 'take_over');
    },
  };
}
