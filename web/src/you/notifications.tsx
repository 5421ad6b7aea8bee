import { useEffect, useState } from 'preact/hooks';
import { ask } from '../api/client.ts';
import { sentenceOf } from '../api/refusal.ts';
import type { components } from '../api/schema.ts';
import { clockTime } from '../board/when.ts';
import { Choice } from '../parts/choice.tsx';
import { t } from '../words/words.ts';

type Push = components['schemas']['PushView'];
type Standing = 'asking' | 'unable' | 'home' | 'blocked' | 'off' | 'on';

/** Whether this device is told of work by notifications: nothing is asked before it is touched. */
export function Notifications() {
  const [push, setPush] = useState<Push>({});
  const [standing, setStanding] = useState<Standing>('asking');
  const [said, setSaid] = useState('');

  const look = async () => {
    const now = await ask<Push>('/push');
    setPush(now);
    setStanding(await standingOf(now));
  };
  useEffect(() => {
    // Without an answer the screen is whole but for this.
    look().catch(() => undefined);
  }, []);

  const turn = async (to: 'off' | 'on') => {
    setSaid(t('you.push.working'));
    try {
      if (to === 'on') await turnOn(push.key ?? '');
      else await turnOff();
      setSaid('');
    } catch (cause) {
      setSaid(sentenceOf(cause, t('you.push.refused')));
    }
    look().catch(() => setSaid(t('you.offline')));
  };

  if (push.key === undefined || standing === 'asking') return null;
  return (
    <section class="you-push" aria-labelledby="you-push">
      <h2 id="you-push">{t('you.push')}</h2>
      <p>{t('you.push.more')}</p>
      {standing === 'off' || standing === 'on' ? (
        <Choice<'off' | 'on'>
          label={t('you.push')}
          value={standing}
          options={[
            { value: 'off', label: t('you.push.off') },
            { value: 'on', label: t('you.push.on') },
          ]}
          onChoose={(to) => {
            if (to !== standing) void turn(to);
          }}
        />
      ) : (
        <p>{t(`you.push.${standing}`)}</p>
      )}
      {standing === 'on' && push.trouble !== undefined && (
        <p>
          {push.next_at === undefined
            ? t('you.push.lost')
            : t('you.push.again', { time: clockTime(push.next_at) })}
        </p>
      )}
      <p role="status">{said}</p>
    </section>
  );
}

async function standingOf({ key, endpoint }: Push): Promise<Standing> {
  const worker = await registered();
  if (worker === null || !('PushManager' in window) || !('Notification' in window)) {
    // Apple's browsers have them in an installed app alone.
    return /iPhone|iPad/.test(navigator.userAgent) || (isMac() && navigator.maxTouchPoints > 1)
      ? 'home'
      : 'unable';
  }
  if (Notification.permission === 'denied') return 'blocked';
  const here = await worker.pushManager.getSubscription();
  return here !== null && here.endpoint === endpoint && tiedTo(here) === key ? 'on' : 'off';
}

const isMac = () => navigator.userAgent.includes('Macintosh');

async function registered(): Promise<ServiceWorkerRegistration | null> {
  if (!('serviceWorker' in navigator)) return null;
  return (await navigator.serviceWorker.getRegistration()) ?? null;
}

/** The service's key that a subscription is tied to, as the service writes it. */
function tiedTo({ options }: PushSubscription): string {
  const key = options.applicationServerKey;
  if (key === null) return '';
  return btoa(String.fromCharCode(...new Uint8Array(key)))
    .replaceAll('+', '-')
    .replaceAll('/', '_')
    .replace(/=+$/, '');
}

async function turnOn(key: string): Promise<void> {
  const worker = await registered();
  if (worker === null || (await Notification.requestPermission()) !== 'granted') return;
  const before = await worker.pushManager.getSubscription();
  // The service has another key now: what was tied to the old one is of no use.
  if (before !== null && tiedTo(before) !== key) await before.unsubscribe();
  const made = await worker.pushManager.subscribe({
    userVisibleOnly: true,
    applicationServerKey: key,
  });
  const { endpoint, keys } = made.toJSON();
  await ask<Push>('/push', {
    method: 'PUT',
    body: { endpoint, p256dh: keys?.['p256dh'], auth: keys?.['auth'] },
  });
}

async function turnOff(): Promise<void> {
  await ask<void>('/push', { method: 'DELETE' });
  const worker = await registered();
  await (await worker?.pushManager.getSubscription())?.unsubscribe();
}
