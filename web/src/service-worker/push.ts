/// <reference lib="webworker" />
import type { Wanted } from './message.ts';

/** What the service sends a phone; internal/push writes it. */
interface Shown {
  readonly title: string;
  readonly body?: string;
  readonly path: string;
  readonly tag: string;
  readonly language: string;
}

/** Shows what the service tells this phone, and opens what it is about. */
export function takePushes(worker: ServiceWorkerGlobalScope): void {
  const { clients, registration } = worker;

  worker.addEventListener('push', (event) => {
    // A browser takes the permission back from whoever is woken and shows nothing.
    const { title, body, path, tag, language } = shownOf(event.data);
    event.waitUntil(
      registration.showNotification(title, {
        ...(body === undefined ? {} : { body }),
        // The same message sent twice is one.
        tag,
        lang: language,
        icon: '/icons/192.png',
        data: path,
      }),
    );
  });

  worker.addEventListener('notificationclick', (event) => {
    event.notification.close();
    event.waitUntil(show(String(event.notification.data)));
  });

  // The browser made itself another address: it is said where the old one was.
  worker.addEventListener('pushsubscriptionchange', (event) => {
    event.waitUntil(sayAgain(event));
  });

  async function show(path: string): Promise<void> {
    const open = await clients.matchAll({ type: 'window' });
    const ours = open.filter(({ url }) => !new URL(url).pathname.startsWith('/walk'));
    const page = ours.find(({ visibilityState }) => visibilityState === 'visible') ?? ours[0];
    if (page === undefined) {
      await clients.openWindow(path);
      return;
    }
    page.postMessage({ kind: 'show', path } satisfies Wanted);
    await page.focus();
  }

  async function sayAgain(event: PushSubscriptionChangeEvent): Promise<void> {
    const options = event.oldSubscription?.options;
    const now =
      event.newSubscription ??
      (options === undefined ? null : await registration.pushManager.subscribe(options));
    if (now === null) return;
    const { endpoint, keys } = now.toJSON();
    await fetch('/api/v1/push', {
      method: 'PUT',
      headers: { 'Content-Type': 'application/json' },
      body: JSON.stringify({ endpoint, p256dh: keys?.['p256dh'], auth: keys?.['auth'] }),
    });
  }
}

function shownOf(data: PushMessageData | null): Shown {
  const bare = { title: 'Longpoint', path: '/bench', tag: 'longpoint', language: 'en' };
  try {
    const sent = data?.json() as Partial<Shown> | undefined;
    // It opens screens of the crew's, and nothing else.
    return { ...bare, ...sent, path: sent?.path?.startsWith('/bench') ? sent.path : bare.path };
  } catch {
    return bare;
  }
}
