import './look/look.css';
import { render } from 'preact';
import { App, loadFirst } from './app.tsx';
import { device } from './live/device.ts';
import { askForLetters } from './look/letters.ts';
import { startRouter } from './router.ts';
import { firstScreenFirst } from './shell/after-frame.ts';
import { watchTouch } from './shell/touch.ts';
import { showTheme } from './theme.ts';
import { showLanguage } from './words/choose.ts';
import { showHand } from './you/hand.ts';

declare const __APP_VERSION__: string;
document.documentElement.dataset['version'] = __APP_VERSION__;

askForLetters();
watchTouch();
showTheme();
showHand();
startRouter();
// A homeowner's visit keeps nothing in it.
const crew = !location.pathname.startsWith('/walk');
// The device's own copy is opened while the screens' files are still being read.
if (crew) void device();
// From the first moment on: a notification is what opened the phone.
if (crew) {
  navigator.serviceWorker?.addEventListener('message', ({ data }) => {
    void import('./shell/wanted.ts').then(({ show }) => show(data));
  });
}
const root = document.getElementById('app');
// The language is one small file, on the device with the rest of the app: no screen flashes in another.
void Promise.all([loadFirst(), showLanguage()]).then(([first]) => {
  if (root === null) return;
  firstScreenFirst(first?.stands === true);
  render(<App first={first} />, root);
});

// The crew's app is kept on the device; a homeowner's one visit is not worth the rule book's weight.
// In development the files are the dev server's.
if (import.meta.env.PROD && crew) {
  const soon = () =>
    import('./shell/start.tsx')
      .then(({ keepOnDevice }) => keepOnDevice())
      // Blocked by the browser's settings, or no signal before the first visit was over: the app
      // runs as a page, and tries again at the next opening.
      .catch(() => undefined);
  // The first screen comes first, and the job that is on it: all at once they hold each other up.
  addEventListener('load', () => setTimeout(soon, 3_000));
}
