import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { Button } from '../parts/button.tsx';
import { pathname } from '../router.ts';
import { t } from '../words/words.ts';
import { isQuiet } from './quiet.ts';
import type { Updating } from './update.ts';
import './update-notice.css';

// Long enough without a touch that nothing slides away under a thumb.
const still = 20_000;

/**
 * One line above the screen, when a newer version is here. It comes between two things: with a new
 * screen, when the phone is picked up, or after a while without a touch. It goes when a tape opens.
 */
export function UpdateNotice(props: { updating: Updating }) {
  const { updating } = props;
  const ready = updating.ready.value;
  const shown = useSignal(false);
  const put = useSignal(false);
  const place = pathname.value;

  useEffect(() => {
    if (!ready || put.value) return;
    let timer: ReturnType<typeof setTimeout> | undefined;
    // After the screen has drawn: what it shows is what is looked at.
    const come = () => setTimeout(() => (shown.value = isQuiet()), 0);
    const rest = () => {
      clearTimeout(timer);
      timer = setTimeout(come, still);
      setTimeout(() => {
        if (shown.value && !isQuiet()) shown.value = false;
      }, 0);
    };
    const pickedUp = () => {
      if (document.visibilityState === 'visible') come();
    };
    come();
    rest();
    addEventListener('pointerdown', rest);
    addEventListener('pointerup', rest);
    addEventListener('keyup', rest);
    addEventListener('focusin', rest);
    document.addEventListener('visibilitychange', pickedUp);
    return () => {
      clearTimeout(timer);
      removeEventListener('pointerdown', rest);
      removeEventListener('pointerup', rest);
      removeEventListener('keyup', rest);
      removeEventListener('focusin', rest);
      document.removeEventListener('visibilitychange', pickedUp);
    };
  }, [ready, place, put.value]);

  if (!shown.value || put.value) return null;
  return (
    <aside class="update-notice" aria-label={t('update.ready')}>
      <svg viewBox="0 0 48 36" aria-hidden="true">
        <path d="M4 32H44M12 32V8H36V32M16 32V12H32V32" />
        <path class="update-new" d="M24 2V10M20 6L24 10L28 6" />
      </svg>
      <p role="status">
        <strong>{t('update.ready')}</strong> {t('update.more')}
      </p>
      <div class="update-acts">
        <Button kind="main" onPress={() => updating.start()}>
          {t('update.start')}
        </Button>
        <Button kind="quiet" onPress={() => (put.value = true)}>
          {t('update.later')}
        </Button>
      </div>
    </aside>
  );
}
