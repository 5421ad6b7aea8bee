import { useState } from 'preact/hooks';
import { ask } from '../api/client.ts';
import { sentenceOf } from '../api/refusal.ts';
import type { Me } from '../api/views.ts';
import { hasPin } from '../lock/pin.ts';
import { PinPad } from '../lock/pin-pad.tsx';
import { dropPin, pinDigits, setPin } from '../lock/try-pin.ts';
import { Button } from '../parts/button.tsx';
import { newPasskey, passkeysHere } from '../sign-in/passkey.ts';
import { thisDevice } from '../sign-in/this-device.ts';
import { t } from '../words/words.ts';
import { Access } from './access.tsx';
import { Passphrase } from './passphrase.tsx';

/** The PIN of this phone, the passkeys, and where one is signed in. */
export function OwnKeys({ me }: { me: Me }) {
  const [setting, setSetting] = useState(false);
  const [said, setSaid] = useState('');
  const [shown, setShown] = useState(0);
  const locked = hasPin(me.person_id);
  const makePasskey = async () => {
    setSaid('');
    try {
      const body = { ...(await newPasskey('/session/passkeys/begin')), device: thisDevice() };
      await ask('/session/passkeys', { method: 'POST', body });
      setShown(shown + 1);
    } catch (cause) {
      setSaid(sentenceOf(cause, t('you.offline')));
    }
  };
  return (
    <>
      <section class="you-access">
        <h2>{t('you.pin')}</h2>
        <p class="quiet">{locked ? t('you.pin.set') : t('you.pin.more')}</p>
        {setting ? (
          <NewPin me={me} onDone={() => setSetting(false)} />
        ) : (
          <div class="you-acts">
            <Button onPress={() => setSetting(true)}>
              {locked ? t('you.pin.change') : t('you.pin.make')}
            </Button>
            {locked && <Button onPress={dropPin}>{t('you.pin.drop')}</Button>}
          </div>
        )}
      </section>
      <Passphrase />
      <Access key={shown} person={me.person_id} own />
      {passkeysHere() && (
        <Button onPress={() => void makePasskey()}>{t('you.passkey.make')}</Button>
      )}
      {said !== '' && (
        <p class="turned-down" role="alert">
          {said}
        </p>
      )}
    </>
  );
}

function NewPin({ me, onDone }: { me: Me; onDone: () => void }) {
  const [first, setFirst] = useState('');
  const [pin, setEntered] = useState('');
  const [said, setSaid] = useState('');
  const enter = async (whole: string) => {
    setEntered(whole);
    if (whole.length < pinDigits) return;
    setEntered('');
    if (first === '') return setFirst(whole);
    if (first !== whole) {
      setFirst('');
      return setSaid(t('you.pin.differ'));
    }
    await setPin(me.person_id, whole);
    onDone();
  };
  const asks = first === '' ? t('you.pin.first') : t('you.pin.again');
  return (
    <>
      <p role="status">{said !== '' && first === '' ? said : asks}</p>
      <PinPad label={asks} value={pin} onChange={(whole) => void enter(whole)} />
      <Button kind="quiet" onPress={onDone}>
        {t('you.pin.cancel')}
      </Button>
    </>
  );
}
