import { createDecipheriv, createECDH, type ECDH, hkdfSync, randomBytes } from 'node:crypto';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { isDeepStrictEqual } from 'node:util';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { installed, looks, onDesk, onPhone, type Site, signIn, startBrowser, startSite } from './site.ts';

let site: Site;
let browser: Browser;
let service: PushService;

beforeAll(async () => {
  [site, browser, service] = await Promise.all([startSite(), startBrowser(), startPushService()]);
});

afterAll(async () => {
  await browser?.close();
  await site?.stop();
  service?.stop();
});

/** A push service for one phone: it takes what the service sends, and opens it as the phone would. */
interface PushService {
  readonly endpoint: string;
  readonly p256dh: string;
  readonly auth: string;
  readonly sent: string[];
  stop(): void;
}

async function startPushService(): Promise<PushService> {
  const phone = createECDH('prime256v1');
  phone.generateKeys();
  const auth = randomBytes(16);
  const sent: string[] = [];
  const server: Server = createServer((request, answer) => {
    const parts: Buffer[] = [];
    request.on('data', (part: Buffer) => parts.push(part));
    request.on('end', () => {
      sent.push(unlock(phone, auth, Buffer.concat(parts)));
      answer.writeHead(201).end();
    });
  });
  await new Promise<void>((ready) => server.listen(0, '127.0.0.1', ready));
  return {
    endpoint: `http://127.0.0.1:${(server.address() as AddressInfo).port}/phone`,
    p256dh: phone.getPublicKey('base64url'),
    auth: auth.toString('base64url'),
    sent,
    stop: () => server.close(),
  };
}

/** The phone's side of RFC 8291. */
function unlock(phone: ECDH, auth: Buffer, body: Buffer): string {
  const salt = body.subarray(0, 16);
  const from = body.subarray(21, 21 + (body[20] ?? 0));
  const info = Buffer.concat([Buffer.from('WebPush: info\0'), phone.getPublicKey(), from]);
  const derive = (secret: Buffer, with_: Buffer, what: Buffer, length: number) =>
    Buffer.from(hkdfSync('sha256', secret, with_, what, length));
  const shared = derive(phone.computeSecret(from), auth, info, 32);
  const key = derive(shared, salt, Buffer.from('Content-Encoding: aes128gcm\0'), 16);
  const nonce = derive(shared, salt, Buffer.from('Content-Encoding: nonce\0'), 12);
  const open = createDecipheriv('aes-128-gcm', key, nonce);
  open.setAuthTag(body.subarray(-16));
  const padded = Buffer.concat([open.update(body.subarray(21 + from.length, -16)), open.final()]);
  return padded.subarray(0, padded.lastIndexOf(2)).toString();
}

/**
 * A phone whose browser has its push service here. The browser's own is on the internet, which no
 * test reaches: what it would make is put in its place, and nothing else.
 */
async function phoneWithPush(): Promise<BrowserContext> {
  const context = await onPhone(browser);
  const { endpoint, p256dh, auth } = service;
  await context.addInitScript(
    (made) => {
      const key = 'test.subscribed';
      const subscription = (with_: string) => ({
        endpoint: made.endpoint,
        options: {
          applicationServerKey: Uint8Array.from(
            atob(with_.replaceAll('-', '+').replaceAll('_', '/')),
            (letter) => letter.charCodeAt(0),
          ).buffer,
        },
        toJSON: () => ({ endpoint: made.endpoint, keys: { p256dh: made.p256dh, auth: made.auth } }),
        unsubscribe: async () => {
          localStorage.removeItem(key);
          return true;
        },
      });
      const made_ = () => {
        const with_ = localStorage.getItem(key);
        return with_ === null ? null : subscription(with_);
      };
      Object.assign(PushManager.prototype, {
        getSubscription: async () => made_(),
        subscribe: async ({ applicationServerKey }: { applicationServerKey: string }) => {
          localStorage.setItem(key, applicationServerKey);
          return made_();
        },
      });
    },
    { endpoint, p256dh, auth },
  );
  return context;
}

/**
 * Hands a message to the page's service worker as the browser does when its push service rings,
 * until the phone shows these titles. The browser's tool sometimes drops what it was handed just as
 * the worker starts or stops; a push service would ring again, and the same message is shown once.
 */
async function deliver(page: Page, data: string, ...titles: string[]): Promise<void> {
  const devtools = await page.context().newCDPSession(page);
  const registration = new Promise<string>((found) => {
    devtools.on('ServiceWorker.workerRegistrationUpdated', ({ registrations }) => {
      const id = registrations.filter(({ isDeleted }) => !isDeleted).at(-1)?.registrationId;
      if (id !== undefined) found(id);
    });
  });
  await devtools.send('ServiceWorker.enable');
  const registrationId = await registration;
  const origin = new URL(page.url()).origin;
  let there: string[] = [];
  for (let rung = 0; rung < 5; rung++) {
    await devtools.send('ServiceWorker.deliverPushMessage', { origin, registrationId, data });
    for (let look = 0; look < 30; look++) {
      there = (await shown(page)).map(({ title }) => title).sort();
      if (isDeepStrictEqual(there, titles)) return devtools.detach();
      await page.waitForTimeout(100);
    }
  }
  expect(there).toEqual(titles);
}

/** The notifications that the phone shows. */
const shown = (page: Page) =>
  page.evaluate(async () => {
    const here = await navigator.serviceWorker.ready;
    return (await here.getNotifications()).map(({ title, body, tag, lang, data }) => ({ title, body, tag, lang, data }));
  });

test('an installer is told of work on the phone in their pocket, and a touch opens it', async () => {
  const pocket = await phoneWithPush();
  const marco = await pocket.newPage();
  await marco.goto(`${site.url}/bench`);
  await signIn(site, marco, 'marco');
  await installed(marco);

  // Nobody is asked before they touch the switch. One who says no is told where it is undone.
  await marco.goto(`${site.url}/you`);
  const turn = (to: string) =>
    marco.locator('.you-push .choice-option', { hasText: new RegExp(`^${to}$`) }).tap();
  await marco.getByRole('heading', { name: 'Notifications on this device' }).waitFor();
  expect(await marco.evaluate(() => Notification.permission)).not.toBe('granted');
  expect(await looks(marco, 'push-off', marco.locator('.you-push'))).toEqual([]);
  await pocket.grantPermissions(['notifications'], { origin: site.url });
  await marco.reload();
  await turn('On');
  await expect.poll(() => marco.locator('.you-push input:checked').inputValue()).toBe('on');
  expect(await looks(marco, 'push-on', marco.locator('.you-push'))).toEqual([]);

  await marco.goto(`${site.url}/bench`);

  // The lead gives Marco a door.
  const desk = await onDesk(browser);
  const lead = await desk.newPage();
  await lead.goto(`${site.url}/board`);
  await signIn(site, lead, 'ruth');
  await lead.locator('a[href*="/board/jobs/"]').first().waitFor();
  const api = async <T>(path: string, data?: object): Promise<T> => {
    const at = `${site.url}/api/v1${path}`;
    const answer = data === undefined ? await lead.request.get(at) : await lead.request.post(at, { data });
    return (await answer.json()) as T;
  };
  interface Named {
    readonly id: string;
    readonly name: string;
    readonly assigned_to?: string;
  }
  const job = /jobs\/([0-9a-f-]+)/.exec((await lead.locator('a[href*="/board/jobs/"]').first().getAttribute('href')) ?? '')?.[1];
  const { people } = await api<{ people: Named[] }>('/people');
  const who = people.find(({ name }) => name === 'Marco Delgado')?.id;
  const { rooms } = await api<{ rooms: { name: string; items: Named[] }[] }>(`/jobs/${job}`);
  const [room, door] = rooms.flatMap(({ name, items }) =>
    items.filter(({ assigned_to }) => assigned_to !== who).map((item) => [name, item] as const),
  )[0] ?? [];
  if (door === undefined || room === undefined) throw new Error('everything is his already');
  const at = new Date().toISOString();
  const given = await api<{ outcomes: { applied: boolean }[] }>(`/jobs/${job}/commands`, {
    sent_at: at,
    commands: [{ id: crypto.randomUUID(), v: 1, kind: 'assign', job_id: job, item_id: door.id, at, assign: { person_id: who } }],
  });
  expect(given.outcomes.every(({ applied }) => applied), JSON.stringify(given)).toBe(true);
  await site.ahead(2);

  // It arrives locked; what is in it is what the phone shows.
  await expect.poll(() => service.sent.length, { timeout: 25_000 }).toBe(1);
  const [text = ''] = service.sent;
  const work = `Work for you: ${door.name}`;
  await deliver(marco, text, work);
  expect(await shown(marco)).toEqual([
    {
      title: work,
      body: room,
      tag: expect.stringMatching(/^[0-9a-f-]{36}$/),
      lang: 'en',
      data: `/bench/jobs/${job}/items/${door.id}`,
    },
  ]);
  // A second copy, after a crash in between, is the same notification.
  await deliver(marco, text, work);
  await deliver(marco, 'not what the service sends', 'Longpoint', work);

  // Touched: the app that is open goes there.
  const [worker] = pocket.serviceWorkers();
  if (worker === undefined) throw new Error('no service worker');
  await worker.evaluate(async (title) => {
    // A worker's own globals, which the pages' library does not name.
    const scope = globalThis as unknown as {
      registration: ServiceWorkerRegistration;
      dispatchEvent(event: Event): boolean;
      NotificationEvent: new (kind: string, about: { notification: Notification }) => Event;
    };
    const notification = (await scope.registration.getNotifications()).find((each) => each.title === title);
    if (notification === undefined) throw new Error('nothing to touch');
    scope.dispatchEvent(new scope.NotificationEvent('notificationclick', { notification }));
  }, work);
  await marco.waitForURL(`**/bench/jobs/${job}/items/${door.id}`);
  expect((await shown(marco)).map(({ title }) => title)).toEqual(['Longpoint']);

  // Turned off, nothing more is sent.
  await marco.goto(`${site.url}/you`);
  await turn('Off');
  await expect.poll(() => marco.locator('.you-push input:checked').inputValue()).toBe('off');
  expect(await (await marco.request.get(`${site.url}/api/v1/push`)).json()).not.toHaveProperty('endpoint');
});
