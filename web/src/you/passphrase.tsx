import { useState } from 'preact/hooks';
import { ask } from '../api/client.ts';
import { sentenceOf } from '../api/refusal.ts';
import { Button } from '../parts/button.tsx';
import { Field } from '../parts/field.tsx';
import { t } from '../words/words.ts';

/** One's own passphrase, changed by who knows the one there is. */
export function Passphrase() {
  const [open, setOpen] = useState(false);
  const [old, setOld] = useState('');
  const [next, setNext] = useState('');
  const [refused, setRefused] = useState('');
  const [done, setDone] = useState(false);
  const change = async () => {
    setRefused('');
    try {
      await ask('/session/passphrase', { method: 'PUT', body: { old, new: next } });
      setOpen(false);
      setOld('');
      setNext('');
      setDone(true);
    } catch (cause) {
      setRefused(sentenceOf(cause, t('you.offline')));
    }
  };
  return (
    <section class="you-access" aria-labelledby="you-passphrase">
      <h2 id="you-passphrase">{t('signin.passphrase')}</h2>
      <p class="quiet" role="status">
        {done ? t('you.passphrase.done') : t('you.passphrase.more')}
      </p>
      {open ? (
        <>
          <Field
            label={t('you.passphrase.old')}
            type="password"
            value={old}
            onInput={setOld}
            autocomplete="current-password"
          />
          <Field
            label={t('you.passphrase.new')}
            hint={t('you.passphrase.hint')}
            type="password"
            value={next}
            onInput={setNext}
            autocomplete="new-password"
            onEnter={() => void change()}
          />
          {refused !== '' && (
            <p class="turned-down" role="alert">
              {refused}
            </p>
          )}
          <div class="you-acts">
            <Button kind="main" disabled={old === '' || next === ''} onPress={() => void change()}>
              {t('you.passphrase.change')}
            </Button>
            <Button kind="quiet" onPress={() => setOpen(false)}>
              {t('you.pin.cancel')}
            </Button>
          </div>
        </>
      ) : (
        <div class="you-acts">
          <Button onPress={() => setOpen(true)}>{t('you.passphrase.change')}</Button>
        </div>
      )}
    </section>
  );
}
