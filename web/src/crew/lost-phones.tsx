import { useState } from 'preact/hooks';
import { ask } from '../api/client.ts';
import { sentenceOf } from '../api/refusal.ts';
import type { components } from '../api/schema.ts';
import { clockTime, dayOf } from '../board/when.ts';
import { Button } from '../parts/button.tsx';
import { Words } from '../parts/fraction.tsx';
import { t } from '../words/words.ts';

export type LostPhone = components['schemas']['LostPhone'];
type HeldLine = components['schemas']['HeldLine'];
type Settled = components['schemas']['Settled'];

export interface LostPhonesProps {
  readonly phones: readonly LostPhone[];
  readonly nameOf: (person: string) => string;
  readonly onPhones: (phones: readonly LostPhone[]) => void;
}

/** What came from phones that were signed out as lost: it goes into the log when a lead says so. */
export function LostPhones(props: LostPhonesProps) {
  const { phones, nameOf, onPhones } = props;
  const [said, setSaid] = useState<readonly string[]>([]);
  const trying = async (work: () => Promise<readonly string[]>) => {
    try {
      setSaid(await work());
    } catch (cause) {
      setSaid([sentenceOf(cause, t('you.offline'))]);
    }
  };
  const settle = (phone: LostPhone, lines: readonly HeldLine[], take: boolean) =>
    trying(async () => {
      const settled = await ask<Settled>(`/lost-phones/${phone.id}/settle`, {
        method: 'POST',
        body: { take, commands: lines.map(({ command_id }) => command_id) },
      });
      onPhones(settled.phones);
      // A lead's yes is not the rules': what they refuse is back with its author, and said here.
      const refused = settled.outcomes.flatMap(({ applied, findings = [] }) =>
        applied ? [] : [t('people.lost.refused', { why: findings[0]?.sentence ?? '' })],
      );
      return settled.stopped === undefined ? refused : [...refused, settled.stopped];
    });
  const back = (phone: LostPhone) =>
    trying(async () => {
      await ask(`/lost-phones/${phone.id}`, { method: 'DELETE' });
      onPhones(phones.filter(({ id }) => id !== phone.id));
      return [];
    });
  return (
    <section class="people-lost" aria-labelledby="people-lost">
      <h2 id="people-lost">{t('people.lost')}</h2>
      {said.length > 0 && (
        <ul class="turned-down" role="alert">
          {said.map((one) => (
            <li key={one}>
              <Words>{one}</Words>
            </li>
          ))}
        </ul>
      )}
      {phones.map((phone) => (
        <div key={phone.id} class="people-opened people-person">
          <h3>
            {t('people.lost.phone', {
              who: nameOf(phone.person_id),
              device: phone.device === '' ? t('you.device.unnamed') : phone.device,
            })}
          </h3>
          <p class="quiet">{t('people.lost.since', { when: dayOf(phone.lost_at) })}</p>
          {phone.held.length === 0 ? (
            <>
              <p>{t('people.lost.none')}</p>
              <Button onPress={() => void back(phone)}>{t('people.lost.back')}</Button>
              <p class="quiet">{t('people.lost.back.more')}</p>
            </>
          ) : (
            <>
              <p>{t('people.lost.waits', { count: phone.held.length })}</p>
              <div class="you-acts">
                <Button kind="main" onPress={() => void settle(phone, phone.held, true)}>
                  {t('people.lost.takeAll')}
                </Button>
                <Button onPress={() => void settle(phone, phone.held, false)}>
                  {t('people.lost.noAll')}
                </Button>
              </div>
              <ol class="people-held">
                {phone.held.map((line) => (
                  <li key={line.command_id} class="you-row">
                    <span>
                      <span>
                        <Words>{line.sentence}</Words>
                      </span>
                      <span class="quiet">
                        {[line.job, line.room, line.item, clockTime(line.did_at)]
                          .filter(Boolean)
                          .join(' · ')}
                      </span>
                    </span>
                    <span class="you-acts">
                      <Button
                        name={`${t('people.lost.take')}: ${line.sentence}`}
                        onPress={() => void settle(phone, [line], true)}
                      >
                        {t('people.lost.take')}
                      </Button>
                      <Button
                        kind="quiet"
                        name={`${t('people.lost.no')}: ${line.sentence}`}
                        onPress={() => void settle(phone, [line], false)}
                      >
                        {t('people.lost.no')}
                      </Button>
                    </span>
                  </li>
                ))}
              </ol>
            </>
          )}
        </div>
      ))}
    </section>
  );
}
