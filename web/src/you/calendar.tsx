import { useState } from 'preact/hooks';
import { ask } from '../api/client.ts';
import { sentenceOf } from '../api/refusal.ts';
import type { components } from '../api/schema.ts';
import { Button } from '../parts/button.tsx';
import { t } from '../words/words.ts';

/** A person's days for their own calendar program: a link that is shown once. */
export function CalendarLink() {
  const [address, setAddress] = useState('');
  const [said, setSaid] = useState('');

  const send = async (work: () => Promise<void>) => {
    setSaid('');
    try {
      await work();
    } catch (cause) {
      setSaid(sentenceOf(cause, t('you.offline')));
    }
  };
  const make = () =>
    send(async () => {
      const zone = Intl.DateTimeFormat().resolvedOptions().timeZone || 'UTC';
      const made = await ask<components['schemas']['CalendarLink']>('/calendar', {
        method: 'POST',
        body: { zone },
      });
      setAddress(new URL(made.path, location.origin).href);
    });
  const end = () =>
    send(async () => {
      await ask<void>('/calendar', { method: 'DELETE' });
      setAddress('');
      setSaid(t('you.calendar.ended'));
    });
  const copy = () =>
    send(async () => {
      await navigator.clipboard.writeText(address);
      setSaid(t('you.calendar.copied'));
    });

  return (
    <section class="you-calendar" aria-labelledby="you-calendar">
      <h2 id="you-calendar">{t('you.calendar')}</h2>
      <p>{t('you.calendar.more')}</p>
      {address !== '' && (
        <>
          <p>{t('you.calendar.made')}</p>
          <input
            class="field-line"
            readonly
            aria-label={t('you.calendar.address')}
            value={address}
            onFocus={({ currentTarget }) => currentTarget.select()}
          />
        </>
      )}
      <div class="you-calendar-acts">
        {address !== '' && navigator.clipboard !== undefined && (
          <Button onPress={() => void copy()}>{t('you.calendar.copy')}</Button>
        )}
        <Button onPress={() => void make()}>
          {t(address === '' ? 'you.calendar.make' : 'you.calendar.again')}
        </Button>
        <Button kind="quiet" onPress={() => void end()}>
          {t('you.calendar.end')}
        </Button>
      </div>
      <p role="status">{said}</p>
    </section>
  );
}
