import { useState } from 'preact/hooks';
import { Refusal, sentenceOf } from '../api/refusal.ts';
import { outbox } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Field } from '../parts/field.tsx';
import { chooseLanguage, ownNames } from '../words/choose.ts';
import { language, t } from '../words/words.ts';
import { lastName, signIn, signInByPasskey } from './enter.ts';
import { passkeysHere } from './passkey.ts';
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

  const enter = async (way: () => Promise<void>) => {
    if (trying) return;
    setTrying(true);
    setRefused(undefined);
    try {
      await way();
    } catch (cause) {
      setTrying(false);
      const wrong = way === byPassphrase && cause instanceof Refusal && cause.status === 401;
      setRefused({ at: wrong ? 'passphrase' : 'all', why: sentenceOf(cause, t('signin.offline')) });
    }
  };
  const byPassphrase = () => signIn(name.trim(), passphrase);
  const submit = () => {
    if (name.trim() === '') setRefused({ at: 'name', why: t('signin.noName') });
    else if (passphrase === '') setRefused({ at: 'passphrase', why: t('signin.noPassphrase') });
    else void enter(byPassphrase);
  };

  return (
    <main class="door">
      <form
        class="door-form"
        onSubmit={(event) => {
          event.preventDefault();
          submit();
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
          onEnter={submit}
          {...(refused?.at === 'passphrase' ? { refused: refused.why } : {})}
        />
        {refused?.at === 'all' && (
          <p class="turned-down" role="alert">
            {refused.why}
          </p>
        )}
        {waits > 0 && <p class="quiet">{t('signin.others', { count: waits })}</p>}
        <div class="door-acts">
          <Button kind="main" wide onPress={submit}>
            {trying ? t('signin.trying') : t('signin.enter')}
          </Button>
          {passkeysHere() && (
            <Button wide onPress={() => void enter(signInByPasskey)}>
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
