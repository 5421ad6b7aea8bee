import { useState } from 'preact/hooks';
import { ask } from '../api/client.ts';
import { sentenceOf } from '../api/refusal.ts';
import type { components } from '../api/schema.ts';
import { Button } from '../parts/button.tsx';
import { t } from '../words/words.ts';
import { clockTime, dayOf } from './when.ts';
import './messages.css';

export type MessageLine = components['schemas']['MessageLine'];
export type MessageList = components['schemas']['MessageList'];

/**
 * The e-mails about a walkthrough or an invitation: where the link went, and what did not get through, with why and what
 * is done about it. Nobody's work waits for any of them.
 */
export function Messages({
  messages,
  onChange,
}: {
  messages: readonly MessageLine[];
  onChange: () => void;
}) {
  const [refused, setRefused] = useState<string>();
  const shown = messages.filter(({ state }) => state !== 'overtaken');
  if (shown.length === 0) return null;
  const again = (id: string) =>
    ask(`/messages/${id}/again`, { method: 'POST' }).then(
      () => {
        setRefused(undefined);
        onChange();
      },
      (cause) => setRefused(sentenceOf(cause, t('walks.noSignal'))),
    );
  return (
    <ul class="mails" aria-label={t('walks.mail')}>
      {shown.map((one) => (
        <li key={one.id}>
          <p>
            {t(`walks.mail.${one.kind}`, { email: one.email })} {stands(one)}
          </p>
          {one.trouble !== undefined && one.state !== 'sent' && (
            <Button kind="quiet" onPress={() => void again(one.id)}>
              {t('walks.mail.again')}
            </Button>
          )}
        </li>
      ))}
      {refused !== undefined && (
        <li class="turned-down" role="alert">
          {refused}
        </li>
      )}
    </ul>
  );
}

/** How far it got, and why not further. */
function stands({ state, trouble, made_at, next_at }: MessageLine): string {
  if (state === 'sent') return t('walks.mail.sent', { day: dayOf(made_at) });
  if (trouble === undefined) return t('walks.mail.waiting');
  const why = t(`walks.mail.trouble.${trouble}`);
  return state === 'failed' || next_at === undefined
    ? `${why} ${t('walks.mail.failed')}`
    : `${why} ${t('walks.mail.next', { time: clockTime(next_at) })}`;
}
