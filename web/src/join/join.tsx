import joinWords from 'virtual:words/join';
import peopleWords from 'virtual:words/people';
import youWords from 'virtual:words/you';
import { useEffect, useState } from 'preact/hooks';
import { ask } from '../api/client.ts';
import { Refusal, sentenceOf } from '../api/refusal.ts';
import type { components } from '../api/schema.ts';
import type { Me } from '../api/views.ts';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Field } from '../parts/field.tsx';
import { Notice } from '../parts/notice.tsx';
import { goTo } from '../router.ts';
import { arrive } from '../sign-in/enter.ts';
import { newPasskey, passkeysHere } from '../sign-in/passkey.ts';
import { leads } from '../sign-in/session.ts';
import { thisDevice } from '../sign-in/this-device.ts';
import { addWords, chooseLanguage } from '../words/choose.ts';
import { language, t } from '../words/words.ts';
import '../you/you.css';

for (const words of [joinWords, peopleWords, youWords]) addWords(words);

type Welcome = components['schemas']['InviteWelcome'];

/** Where an invitation is opened. Its secret is behind the #, and leaves the address at once. */
export function Join() {
  const [token] = useState(() => location.hash.slice(1));
  const [welcome, setWelcome] = useState<Welcome | null>(null);
  const [gone, setGone] = useState<{ sentence: string; offline: boolean } | null>(null);
  const look = () => {
    setGone(null);
    ask<Welcome>('/join/look', { method: 'POST', body: { token } }).then(
      (found) => {
        history.replaceState(null, '', '/join');
        void chooseLanguage(found.language);
        setWelcome(found);
      },
      (cause) =>
        setGone(
          cause instanceof Refusal
            ? { sentence: cause.sentence, offline: cause.passing }
            : { sentence: t('join.offline'), offline: true },
        ),
    );
  };
  useEffect(() => {
    look();
    // Another link pasted over this one.
    const again = () => location.reload();
    addEventListener('hashchange', again);
    return () => removeEventListener('hashchange', again);
  }, []);
  if (gone !== null) {
    return (
      <main class="you">
        <h1 class="unseen">{t('people.link')}</h1>
        <Notice kind={gone.offline ? 'offline' : 'refused'} sentence={gone.sentence}>
          {gone.offline ? (
            <Button onPress={look}>{t('action.tryAgain')}</Button>
          ) : (
            <a href="/">{t('signin.enter')}</a>
          )}
        </Notice>
      </main>
    );
  }
  if (welcome === null) return <main aria-busy="true">{t('join.waiting')}</main>;
  return <JoinForm token={token} welcome={welcome} />;
}

function JoinForm({ token, welcome }: { token: string; welcome: Welcome }) {
  const [name, setName] = useState(welcome.name ?? '');
  const [signIn, setSignIn] = useState('');
  const [passphrase, setPassphrase] = useState('');
  const [unit, setUnit] = useState<Me['unit']>('in');
  const [refused, setRefused] = useState('');
  const [trying, setTrying] = useState(false);

  const join = async (by: 'passphrase' | 'passkey') => {
    if (trying) return;
    setTrying(true);
    setRefused('');
    try {
      const who = { token, ...(welcome.back ? {} : { name, sign_in: signIn }) };
      const proof =
        by === 'passkey' ? { passkey: await newPasskey('/join/passkey', who) } : { passphrase };
      const body = { ...who, ...proof, unit, language: language.value.code, device: thisDevice() };
      const me = await ask<Me>('/join', { method: 'POST', body });
      arrive(me);
      goTo(leads(me) ? '/board' : '/bench', 'replace');
    } catch (cause) {
      setTrying(false);
      setRefused(sentenceOf(cause, t('join.offline')));
    }
  };

  return (
    <main class="you">
      <h1>{t('join.title', { company: welcome.company_name })}</h1>
      <p>
        {welcome.back
          ? t('join.back', { by: welcome.invited_by, name: welcome.name ?? '' })
          : t('join.by', { by: welcome.invited_by, role: t(`people.role.${welcome.role}`) })}
      </p>
      {!welcome.back && (
        <>
          <Field label={t('you.name')} value={name} onInput={setName} autocomplete="name" />
          <Field
            label={t('signin.name')}
            hint={t('join.signIn.hint')}
            value={signIn}
            onInput={setSignIn}
            autocomplete="username"
          />
          <Choice<Me['unit']>
            label={t('you.unit')}
            labelShown
            value={unit}
            options={[
              { value: 'in', label: t('newJob.inches') },
              { value: 'mm', label: t('newJob.millimeters') },
            ]}
            onChoose={setUnit}
          />
        </>
      )}
      <Field
        label={t('signin.passphrase')}
        hint={t('you.passphrase.hint')}
        type="password"
        value={passphrase}
        onInput={setPassphrase}
        autocomplete="new-password"
        onEnter={() => void join('passphrase')}
      />
      {refused !== '' && (
        <p class="turned-down" role="alert">
          {refused}
        </p>
      )}
      <Button kind="main" wide onPress={() => void join('passphrase')}>
        {trying ? t('signin.trying') : t('join.enter')}
      </Button>
      {passkeysHere() && (
        <Button wide onPress={() => void join('passkey')}>
          {t('join.passkey')}
        </Button>
      )}
    </main>
  );
}
