import { useEffect, useState } from 'preact/hooks';
import { ask } from '../api/client.ts';
import { sentenceOf } from '../api/refusal.ts';
import type { components } from '../api/schema.ts';
import { Button } from '../parts/button.tsx';
import { language, t } from '../words/words.ts';
import './you.css';

type Held = components['schemas']['Access'];

/** Where somebody is signed in and with what: their own, or of whom a lead looks after. */
export function Access({
  person,
  own,
  onLost,
}: {
  person: string;
  own: boolean;
  /** Called when a phone of theirs has been said to be lost. */
  onLost?: () => void;
}) {
  const [held, setHeld] = useState<Held | null>(null);
  const [refused, setRefused] = useState('');
  /** The session that is being said to be lost. */
  const [losing, setLosing] = useState('');
  const trying = (work: Promise<unknown>) =>
    work.then(
      () => setRefused(''),
      (cause) => setRefused(sentenceOf(cause, t('you.offline'))),
    );
  const load = () => trying(ask<Held>(`/people/${person}/access`).then(setHeld));
  const end = (what: string) =>
    trying(ask(`/people/${person}/${what}`, { method: 'DELETE' }).then(load));
  const lose = (session: string) =>
    trying(
      ask(`/people/${person}/sessions/${session}/lost`, { method: 'POST' }).then(() => {
        onLost?.();
        return load();
      }),
    );
  useEffect(() => {
    void load();
  }, [person]);
  const day = (at: string) =>
    new Date(at).toLocaleString(language.value.tag, { dateStyle: 'medium', timeStyle: 'short' });
  return (
    <section class="you-access">
      <h2>{own ? t('you.sessions') : t('you.sessions.theirs')}</h2>
      {refused !== '' && (
        <p class="turned-down" role="alert">
          {refused}
        </p>
      )}
      {held === null && refused === '' && <p class="quiet">{t('you.sessions.waiting')}</p>}
      {held?.sessions.length === 0 && <p class="quiet">{t('you.sessions.none')}</p>}
      <ul>
        {held?.sessions.map((one) => (
          <li key={one.id} class="you-row">
            <span>
              <bdi>{one.device === '' ? t('you.device.unnamed') : one.device}</bdi>
              <span class="quiet">
                {one.here === true ? t('you.here') : t('you.seen', { when: day(one.seen_at) })}
              </span>
            </span>
            {one.here !== true && (
              <span class="you-acts">
                <Button
                  name={`${t('you.signOut')}: ${one.device}`}
                  onPress={() => void end(`sessions/${one.id}`)}
                >
                  {t('you.signOut')}
                </Button>
                {losing !== one.id && (
                  <Button
                    kind="quiet"
                    name={`${t('you.lost')}: ${one.device}`}
                    onPress={() => setLosing(one.id)}
                  >
                    {t('you.lost')}
                  </Button>
                )}
              </span>
            )}
            {losing === one.id && (
              <div class="you-losing" role="status">
                <p>{t('you.lost.more')}</p>
                <Button
                  name={`${t('you.lost.sure')}: ${one.device}`}
                  onPress={() => void lose(one.id)}
                >
                  {t('you.lost.sure')}
                </Button>
              </div>
            )}
          </li>
        ))}
      </ul>
      {held !== null && held.passkeys.length > 0 && (
        <>
          <h3>{t('you.passkeys')}</h3>
          <ul>
            {held.passkeys.map((one) => (
              <li key={one.id} class="you-row">
                <span>
                  <bdi>{one.device === '' ? t('you.device.unnamed') : one.device}</bdi>
                  <span class="quiet">{t('you.passkey.made', { when: day(one.made_at) })}</span>
                </span>
                <Button
                  name={`${t('you.passkey.remove')}: ${one.device}`}
                  onPress={() => void end(`passkeys/${one.id}`)}
                >
                  {t('you.passkey.remove')}
                </Button>
              </li>
            ))}
          </ul>
        </>
      )}
    </section>
  );
}
