import { render } from 'preact';
import { appStays } from './stays.ts';
import { touched } from './touch.ts';
import { watchUpdates } from './update.ts';
import { UpdateNotice } from './update-notice.tsx';

// A phone that is never closed still asks for a new version, no more than this often.
const askAgain = 3_600_000;

/** Keeps the app on the device, and current. After the first screen: it must not wait for this. */
export async function keepOnDevice(): Promise<void> {
  // Named here and not in the page: a browser fetches it twice while the first screen is being made.
  const manifest = document.createElement('link');
  manifest.rel = 'manifest';
  manifest.href = '/manifest.webmanifest';
  document.head.append(manifest);
  if (!('serviceWorker' in navigator)) {
    appStays.value = false;
    return;
  }
  const updating = await watchUpdates({
    workers: navigator.serviceWorker,
    touched,
    reload: () => location.reload(),
  }).catch((cause) => {
    appStays.value = navigator.serviceWorker.controller !== null;
    throw cause;
  });
  const above = document.createElement('div');
  document.getElementById('app')?.before(above);
  render(<UpdateNotice updating={updating} />, above);

  let asked = Date.now();
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState !== 'visible' || Date.now() - asked < askAgain) return;
    asked = Date.now();
    void navigator.serviceWorker
      .getRegistration()
      .then((registration) => registration?.update())
      .catch(() => undefined); // no signal: asked again when the phone is next picked up
  });
}
