import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
import type { Me } from '../api/views.ts';
import { Button } from '../parts/button.tsx';
import { leaveLocked } from '../sign-in/session.ts';
import { t } from '../words/words.ts';
import { PinPad } from './pin-pad.tsx';
import { pinDigits, pinWait, tryPin } from './try-pin.ts';

/** The screen of a phone that remembers its person, until they say their PIN. */
export function Lock({ me }: { me: Me }) {
  const [pin, setPin] = useState('');
  const [wrong, setWrong] = useState(false);
  const [trying, setTrying] = useState(false);
  const [wait, setWait] = useState(pinWait);
  const box = useRef<HTMLDialogElement>(null);
  // Over everything: under a sheet that is modal, and stands behind it unseen, nothing can be touched.
  const shut = () => {
    box.current?.showModal();
    box.current?.focus({ preventScroll: true });
  };
  useLayoutEffect(shut, []);
  useEffect(() => {
    if (wait === 0) return;
    const timer = setTimeout(() => setWait(pinWait()), Math.min(wait, 1_000));
    return () => clearTimeout(timer);
  }, [wait]);

  const enter = async (whole: string) => {
    setPin(whole);
    if (whole.length < pinDigits || trying) return;
    setTrying(true);
    const tried = await tryPin(whole);
    setTrying(false);
    setPin('');
    setWait(pinWait());
    if (tried === 'out') void leaveLocked();
    else setWrong(tried === 'wrong');
  };
  const waits = wait > 0 ? t('lock.wait', { count: Math.ceil(wait / 1_000) }) : '';

  return (
    // A browser lets a page keep it open against Escape or Back once, and not twice.
    <dialog
      ref={box}
      class="lock-over"
      aria-label={t('lock.ask')}
      tabIndex={-1}
      onCancel={(event) => event.preventDefault()}
      onClose={shut}
    >
      <main class="lock">
        <h1 class="lock-name">
          <bdi>{me.name}</bdi>
        </h1>
        <p class={wrong ? 'lock-says lock-wrong' : 'lock-says'}>
          {/* Said once: the seconds beside it count down unheard. */}
          <span role="alert">{wrong ? t('lock.wrong') : ''}</span>{' '}
          {waits || (wrong ? '' : t('lock.ask'))}
        </p>
        <PinPad
          label={t('lock.ask')}
          value={pin}
          onChange={(whole) => void enter(whole)}
          disabled={trying || wait > 0}
        />
        <Button kind="quiet" onPress={() => void leaveLocked()}>
          {t('lock.signIn')}
        </Button>
      </main>
    </dialog>
  );
}
