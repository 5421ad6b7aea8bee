import { useState } from 'preact/hooks';
import { Refusal } from '../api/refusal.ts';
import { outbox } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Field } from '../parts/field.tsx';
import { chooseLanguage, ownNames } from '../words/choose.ts';
import { language, t } from '../words/words.ts';
import { NotAnswered, passkeysHere } from './passkey.ts';
import { lastName, signIn, signInByPasskey } from './session.ts';
import './sign-in.css';

/** The door: a name and a passphrase. It stands wherever someone not signed in arrives. */
export function SignIn() {
  const other = language.value.code === 'en' ? 'es' : 'en';
  const [name, setName] = useState(lastName);
  const [passphrase, setPassphrase] = useState('');
  const [shown, setShown] = useState(false);
  const [trying, setTrying] = useState(false);
  const [refused, setRefused] = useState<{ at: 'name' | 'passphrase' | 'all'; why: string }>();

  const waits = [...outbox.others.value.values()].reduce((sum, count) => sum + count, 0);

  const enter = async () => {
    if (trying) return;
    if (name.trim() === '') return setRefused({ at: 'name', why: t('signin.noName') });
    if (passphrase === '') return setRefused({ at: 'passphrase', why: t('signin.noPassphrase') });
    setTrying(true);
    setRefused(undefined);
    try {
      await signIn(name.trim(), passphrase);
    } catch (cause) {
      setTrying(false);
      setRefused(
        cause instanceof Refusal
          ? { at: cause.status === 401 ? 'passphrase' : 'all', why: cause.sentence }
          : { at: 'all', why: t('signin.offline') },
      );
    }
  };

  const byPasskey = async () => {
    if (trying) return;
    setTrying(true);
    setRefused(undefined);
    try {
      await signInByPasskey();
    } catch (cause) {
      setTrying(false);
      const why =
        cause instanceof Refusal
          ? cause.sentence
          : cause instanceof NotAnswered
            ? t('signin.passkey.none')
            : t('signin.offline');
      setRefused({ at: 'all', why });
    }
  };

  return (
    <main class="door">
      <form
        class="door-form"
        onSubmit={(event) => {
          event.preventDefault();
          void enter();
        }}
      >
        <DoorDrawing />
        <h1 class="door-name">{t('app.name')}</h1>
        <Field
          label={t('signin.name')}
          value={name}
          onInput={setName}
          autocomplete="username"
          {...(refused?.at === 'name' ? { refused: refused.why } : {})}
        />
        <Field
          label={t('signin.passphrase')}
          type={shown ? 'text' : 'password'}
          value={passphrase}
          onInput={setPassphrase}
          autocomplete="current-password"
          onEnter={() => void enter()}
          {...(refused?.at === 'passphrase' ? { refused: refused.why } : {})}
        />
        {refused?.at === 'all' && (
          <p class="door-refused" role="alert">
            {refused.why}
          </p>
        )}
        {waits > 0 && <p class="quiet">{t('signin.others', { count: waits })}</p>}
        <div class="door-acts">
          <Button kind="main" wide onPress={() => void enter()}>
            {trying ? t('signin.trying') : t('signin.enter')}
          </Button>
          {passkeysHere() && (
            <Button wide onPress={() => void byPasskey()}>
              {t('signin.passkey')}
            </Button>
          )}
          <Button kind="quiet" pressed={shown} onPress={() => setShown(!shown)}>
            {shown ? t('signin.hide') : t('signin.show')}
          </Button>
          <span lang={other}>
            <Button kind="quiet" onPress={() => void chooseLanguage(other)}>
              {ownNames[other]}
            </Button>
          </span>
        </div>
      </form>
    </main>
  );
}

/** A casing's miter seen close: where the long point gets its name. */
function DoorDrawing() {
  return (
    <svg class="door-drawing" viewBox="0 0 320 150" aria-hidden="true">
      <path class="door-wall" d="M0 20H320M40 150V20" />
      <path class="door-stock" d="M40 20H320M40 20V150M104 84H320M104 84V150" />
      <path class="door-bead" d="M52 32H320M52 32V150M92 72H320M92 72V150" />
      <path class="door-miter" d="M40 20L104 84" />
      <path class="door-chalk" d="M22 2L122 102" />
      <path class="door-jamb" d="M116 96H320M116 96V150" />
    </svg>
  );
}
