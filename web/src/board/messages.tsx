import { useState } from 'preact/hooks';
import { ask } from '../api/client.ts';
import { sentenceOf } from '../api/refusal.ts';
import type { components } from '../api/schema.ts';
import { Button } from '../parts/button.tsx';
import { t } from '../words/words.ts';
import { personName } from './people.ts';
import { clockTime, dayOf } from './when.ts';
import './messages.css';

export type MessageLine = components['schemas']['MessageLine'];
export type MessageList = components['schemas']['MessageList'];

/**
 * The e-mails about a walkthrough or an invitation, and the notifications on the crew's phones: where the link went, and what
 * did not get through, with why and what is done about it. Nobody's work waits for any of them.
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
            {isPush(one.kind)
              ? `${onPhone(one, one.kind)} ${rang(one)}`
              : `${t(`walks.mail.${one.kind}`, { email: one.email ?? '' })} ${stands(one)}`}
          </p>
          {one.trouble !== undefined && one.trouble !== 'not_wanted' && one.state !== 'sent' && (
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

type PushKind = 'push_work' | 'push_remark' | 'push_still';

function isPush(kind: MessageLine['kind']): kind is PushKind {
  return kind.startsWith('push_');
}

/** Whose phone was to tell what. */
function onPhone({ person_id, device }: MessageLine, kind: PushKind): string {
  const name = personName(person_id) ?? t('walks.crew');
  const what = t(`walks.push.${kind}`);
  return device === undefined
    ? t('walks.push.unnamed', { name, what })
    : t('walks.push', { name, device, what });
}

function rang({ state, trouble, made_at, next_at }: MessageLine): string {
  if (state === 'sent') return t('walks.push.sent', { day: dayOf(made_at) });
  if (trouble === undefined) return t('walks.push.waiting');
  if (trouble === 'not_wanted') return t('walks.push.trouble.not_wanted');
  const why =
    trouble === 'not_let_in' ? t('walks.push.trouble.not_let_in') : t('walks.push.trouble');
  return state === 'failed' || next_at === undefined
    ? `${why} ${t('walks.push.failed')}`
    : `${why} ${t('walks.mail.next', { time: clockTime(next_at) })}`;
}

/** How far it got, and why not further. */
function stands({ state, trouble, made_at, next_at }: MessageLine): string {
  if (state === 'sent') return t('walks.mail.sent', { day: dayOf(made_at) });
  if (trouble === undefined || trouble === 'not_wanted') return t('walks.mail.waiting');
  const why = t(`walks.mail.trouble.${trouble}`);
  return state === 'failed' || next_at === undefined
    ? `${why} ${t('walks.mail.failed')}`
    : `${why} ${t('walks.mail.next', { time: clockTime(next_at) })}`;
}
