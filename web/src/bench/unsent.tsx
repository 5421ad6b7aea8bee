import { useState } from 'preact/hooks';
import type { NewsRow, OutboxRow } from '../live/db.ts';
import { disagreements, news, outbox, personName, refusals, seenNews } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Words } from '../parts/fraction.tsx';
import { Notice } from '../parts/notice.tsx';
import { TopBar } from '../parts/rail.tsx';
import { Sheet } from '../parts/sheet.tsx';
import { t } from '../words/words.ts';
import { DeviceSigns } from './device-signs.tsx';
import { useFollowedJobs } from './follow-jobs.ts';
import { KeptWords } from './kept-words.tsx';
import { ApartCard, StuckCard, TurnedBackCard } from './needs.tsx';
import { places } from './places.ts';
import { SyncSign, useTitle } from './sign.tsx';
import { when } from './when.ts';
import './unsent.css';

/**
 * Where everything entered here is that is not simply in the log: what needs its author, what waits,
 * what happened meanwhile. Nothing leaves these lists by itself but by being sent.
 */
export function Unsent() {
  const held = outbox.waiting.value.filter((row) => row.held === true);
  const waiting = outbox.waiting.value.filter(
    (row) => row.stuck === undefined && row.held !== true,
  );
  const stuck = outbox.waiting.value.filter((row) => row.stuck !== undefined);
  const apart = [...disagreements.value.values()].flat();
  const others = [...outbox.others.value];
  const [dropping, setDropping] = useState<OutboxRow | null>(null);
  const needs = refusals.value.length + stuck.length + apart.length;
  const nothing = needs + waiting.length + held.length + news.value.length + others.length === 0;
  // Takes that disagree are found in the jobs themselves.
  useFollowedJobs();
  useTitle(needs > 0 ? t('needs.title') : t('unsent.title'));
  return (
    <>
      <TopBar
        title={needs > 0 ? t('needs.title') : t('unsent.title')}
        back={{ href: places.home, label: t('bench.title') }}
      >
        <SyncSign />
      </TopBar>
      <main class="unsent">
        <DeviceSigns whole />
        {nothing && <Notice kind="empty" sentence={t('unsent.none')} />}
        {needs > 0 && (
          <section aria-label={t('needs.title')}>
            <ul class="needs">
              {apart.map((each) => (
                <ApartCard key={`${each.item.id} ${each.reading.name}`} {...each} />
              ))}
              {refusals.value.map((row) => (
                <TurnedBackCard key={row.id} row={row} />
              ))}
              {stuck.map((row) => (
                <StuckCard key={row.id} row={row} onDrop={() => setDropping(row)} />
              ))}
            </ul>
          </section>
        )}
        {waiting.length > 0 && (
          <section aria-label={t('unsent.title')}>
            <Notice
              kind={outbox.cutOff.value ? 'offline' : 'waiting'}
              slim
              sentence={t('sync.unsent', { count: waiting.length })}
              more={t('unsent.more')}
            >
              <Button kind="main" onPress={() => void outbox.retry()}>
                {outbox.sending.value ? t('sync.sending') : t('unsent.now')}
              </Button>
            </Notice>
            <KeptList rows={waiting} />
          </section>
        )}
        {held.length > 0 && (
          <section aria-label={t('unsent.held')}>
            <Notice kind="waiting" slim sentence={t('unsent.held')} more={t('unsent.held.more')}>
              <Button onPress={() => void outbox.askAgain()}>{t('unsent.held.ask')}</Button>
            </Notice>
            <KeptList rows={held} />
          </section>
        )}
        {news.value.length > 0 && (
          <section aria-labelledby="news">
            <h2 class="unsent-head" id="news">
              {t('news.title')}
            </h2>
            <ul class="needs">
              {news.value.map((row) => (
                <li key={`${row.id} ${row.kind}`} class="need need-news">
                  <p>
                    <Words>{sayNews(row)}</Words>
                  </p>
                  <div class="need-acts">
                    <Button kind="quiet" onPress={() => seenNews(row.id)}>
                      {t('news.seen')}
                    </Button>
                  </div>
                </li>
              ))}
            </ul>
          </section>
        )}
        {others.length > 0 && (
          <section aria-labelledby="others">
            <h2 class="unsent-head" id="others">
              {t('others.title')}
            </h2>
            <ul class="needs">
              {others.map(([person, count]) => (
                <li key={person} class="need need-news">
                  {t('others.waiting', {
                    who: personName(person) || t('others.someone'),
                    count,
                  })}
                </li>
              ))}
            </ul>
          </section>
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

function KeptList(props: { rows: readonly OutboxRow[] }) {
  return (
    <ol class="unsent-list">
      {props.rows.map((row) => (
        <li key={row.id} class="unsent-entry">
          <p>
            <KeptWords kept={row} />
          </p>
          <p class="quiet">{when(row.command.at)}</p>
        </li>
      ))}
    </ol>
  );
}

function sayNews(row: NewsRow): string {
  const { kind, said, who } = row;
  if (kind !== 'reassigned') return t(`news.${kind}`, { said });
  const name = personName(who);
  return name === ''
    ? t('news.reassigned.nobody', { said })
    : t('news.reassigned', { said, who: name });
}
