import boardWords from 'virtual:words/board';
import sawWords from 'virtual:words/saw';
import { useState } from 'preact/hooks';
import { SyncSign } from '../bench/sign.tsx';
import { JobFrame, type JobPlace } from '../board/job-frame.tsx';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Notice } from '../parts/notice.tsx';
import { TopBar } from '../parts/rail.tsx';
import { matchRoute, pathname } from '../router.ts';
import { Gate } from '../sign-in/gate.tsx';
import { leads } from '../sign-in/session.ts';
import { addWords } from '../words/choose.ts';
import { t } from '../words/words.ts';
import { CutOrder } from './cut-order.tsx';
import { OrderList } from './order-list.tsx';
import { PlanBar } from './plan-bar.tsx';
import { Rack } from './rack.tsx';
import { Sticks } from './sticks.tsx';
import { askAgain, useStock } from './stock.ts';
import { YardList } from './yard-list.tsx';
import '../board/board.css';
import './saw.css';

addWords(boardWords);
addWords(sawWords);

const place: JobPlace = 'saw';

/** The saw: what to buy, what to cut it from, and what has been cut. For lead and installer alike. */
export function Saw() {
  const match = matchRoute([{ path: '/saw/jobs/:job' }], pathname.value);
  return (
    <Gate>
      {(me) =>
        match === null ? (
          <main>
            <Notice kind="gone" sentence={t('app.away')} more={t('app.away.more')}>
              <a href="/">{t('app.toBench')}</a>
            </Notice>
          </main>
        ) : (
          <Place job={match.params['job'] ?? ''} lead={leads(me)} />
        )
      }
    </Gate>
  );
}

type Part = 'sticks' | 'settings' | 'order' | 'rack' | 'yard';

function Place({ job, lead }: { job: string; lead: boolean }) {
  const stock = useStock(job);
  const [part, setPart] = useState<Part>('sticks');
  const sheet = stock.sheet;
  const parts: Part[] = [
    'sticks',
    'settings',
    'order',
    'rack',
    ...(lead ? (['yard'] as const) : []),
  ];
  const inside =
    sheet === undefined ? (
      stock.gone !== undefined ? (
        <Notice kind="gone" sentence={stock.gone} more={t('board.gone.more')} />
      ) : stock.offline ? (
        <Notice kind="offline" sentence={t('saw.offline')} more={t('saw.offline.more')}>
          <Button onPress={() => askAgain(job)}>{t('action.tryAgain')}</Button>
        </Notice>
      ) : (
        <Notice kind="waiting" sentence={t('saw.waiting')} />
      )
    ) : (
      <div class="saw">
        {stock.offline && <Notice kind="offline" slim sentence={t('saw.stale')} />}
        <PlanBar job={job} plan={sheet.plan} onPlan={(next) => stock.take(next)} />
        {sheet.plan === undefined
          ? part !== 'yard' && (
              <Notice kind="empty" sentence={t('saw.noPlan')} more={t('saw.noPlan.more')} />
            )
          : null}
        <div class="saw-parts fits no-print">
          <Choice
            label={t('saw.parts')}
            value={part}
            options={parts.map((value) => ({ value, label: t(`saw.part.${value}`) }))}
            onChoose={setPart}
          />
        </div>
        {sheet.plan !== undefined && (
          <>
            <ul class={`saw-cautions ${shown(part === 'sticks' || part === 'settings')}`}>
              {sheet.plan.cautions.map((caution) => (
                <li key={caution}>{caution}</li>
              ))}
            </ul>
            <section class={shown(part === 'sticks')} aria-label={t('saw.part.sticks')}>
              <Sticks job={job} plan={sheet.plan} again={() => askAgain(job)} />
            </section>
            <section class={shown(part === 'settings')} aria-label={t('saw.part.settings')}>
              <CutOrder plan={sheet.plan} />
            </section>
            <section class={shown(part === 'order')} aria-label={t('saw.part.order')}>
              <OrderList job={job} plan={sheet.plan} />
            </section>
          </>
        )}
        {part === 'rack' && (
          <section aria-label={t('saw.part.rack')}>
            <Rack job={job} sheet={sheet} again={() => askAgain(job)} />
          </section>
        )}
        {lead && (
          // Put out of sight and not away: prices being typed stay while another part is looked at.
          <section hidden={part !== 'yard'} aria-label={t('saw.part.yard')}>
            <YardList key={job} job={job} sheet={sheet} onSet={(next) => stock.take(next)} />
          </section>
        )}
      </div>
    );
  if (!lead) {
    return (
      <div>
        <TopBar title={t('saw.title')} back={{ href: '/', label: t('app.toBench') }}>
          <SyncSign />
        </TopBar>
        <main class="job-main saw-alone">{inside}</main>
      </div>
    );
  }
  return (
    <JobFrame job={job} here={place} title={t('saw.title')}>
      {inside}
    </JobFrame>
  );
}

function shown(now: boolean): string {
  return now ? 'saw-part' : 'saw-part saw-part-away';
}
