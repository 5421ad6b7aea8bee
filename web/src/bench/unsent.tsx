import { useState } from 'preact/hooks';
import type { OutboxRow } from '../live/db.ts';
import { outbox } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Words } from '../parts/fraction.tsx';
import { Notice } from '../parts/notice.tsx';
import { TopBar } from '../parts/rail.tsx';
import { Sheet } from '../parts/sheet.tsx';
import { me } from '../sign-in/session.ts';
import { t } from '../words/words.ts';
import { places } from './places.ts';
import { Printed } from './printed.tsx';
import { useTitle } from './sign.tsx';
import { when } from './when.ts';

/** What was entered here and has not reached the log. Nothing leaves this list by itself but by being sent. */
export function Unsent() {
  const kept = outbox.waiting.value;
  const [dropping, setDropping] = useState<OutboxRow | null>(null);
  useTitle(t('unsent.title'));
  return (
    <>
      <TopBar title={t('unsent.title')} back={{ href: places.home, label: t('bench.title') }}>
        {outbox.sending.value ? t('sync.sending') : ''}
      </TopBar>
      <main class="unsent">
        {kept.length === 0 ? (
          <Notice kind="empty" sentence={t('unsent.none')} />
        ) : (
          <>
            <Notice
              kind={outbox.cutOff.value ? 'offline' : 'waiting'}
              slim
              sentence={t('sync.unsent', { count: kept.length })}
              more={t('unsent.more')}
            >
              <Button kind="main" onPress={() => void outbox.retry()}>
                {outbox.sending.value ? t('sync.sending') : t('unsent.now')}
              </Button>
            </Notice>
            <ol class="unsent-list">
              {kept.map((each) => (
                <li key={each.command.id} class="unsent-entry">
                  <p>
                    <KeptWords kept={each} />
                  </p>
                  <p class="quiet">{when(each.command.at)}</p>
                  {each.stuck !== undefined && (
                    <>
                      <p class="unsent-why">
                        <Words>{each.stuck}</Words>
                      </p>
                      <Button kind="quiet" onPress={() => setDropping(each)}>
                        {t('unsent.drop')}
                      </Button>
                    </>
                  )}
                </li>
              ))}
            </ol>
          </>
        )}
        {dropping !== null && (
          <Sheet name={t('unsent.drop')} nameShown modal onClose={() => setDropping(null)}>
            <div class="asking">
              <p>
                <KeptWords kept={dropping} />
              </p>
              <p>{t('unsent.drop.more')}</p>
              <Button
                wide
                onPress={() => {
                  void outbox.drop(dropping.id);
                  setDropping(null);
                }}
              >
                {t('unsent.drop')}
              </Button>
              <Button kind="main" wide onPress={() => setDropping(null)}>
                {t('unsent.keep')}
              </Button>
            </div>
          </Sheet>
        )}
      </main>
    </>
  );
}

/** What was entered about one item and is not sent yet, on the item itself. */
export function WaitingHere(props: { item: string }) {
  const kept = outbox.waiting.value.filter(({ command }) => command.item_id === props.item);
  if (kept.length === 0 || (outbox.sending.value && !outbox.cutOff.value)) return null;
  return (
    <aside class="waiting-here" aria-label={t('unsent.title')}>
      <p class="waiting-title">{t('unsent.title')}</p>
      <ul>
        {kept.map((each) => (
          <li key={each.command.id}>
            <KeptWords kept={each} />
          </li>
        ))}
      </ul>
    </aside>
  );
}

export function KeptWords(props: { kept: OutboxRow }) {
  const { said, nm } = props.kept;
  return (
    <>
      <Words>{said}</Words>
      {nm !== undefined && (
        <>
          {': '}
          <strong class="number">
            <Printed nm={nm} unit={me().unit} />
          </strong>
        </>
      )}
    </>
  );
}
