import { useRef, useState } from 'preact/hooks';
import { Refusal } from '../api/refusal.ts';
import { clockTime } from '../board/when.ts';
import { askOnceSent } from '../live/ask-once-sent.ts';
import { jobView, personName } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Words } from '../parts/fraction.tsx';
import { t } from '../words/words.ts';
import { PlanOf, saidOf } from './plan-of.tsx';
import type { PlanAsk, PlanView, StockSheet } from './stock.ts';

/** How the plan stands in a line, and the way to the next one. */
export function PlanBar(props: {
  job: string;
  plan: PlanView | undefined;
  onPlan: (sheet: StockSheet) => void;
}) {
  const { plan } = props;
  const [nest, setNest] = useState(plan?.ask.nest ?? true);
  const [few, setFew] = useState(plan?.ask.objective === 'fewest_sticks');
  const [said, setSaid] = useState('');
  const [working, setWorking] = useState(false);
  const stop = useRef<AbortController | null>(null);
  const [choosing, setChoosing] = useState(false);
  const rooms = jobView(props.job).value.view?.rooms ?? [];
  const asked: Pick<PlanAsk, 'rooms' | 'items'> = {
    ...(plan?.ask.rooms === undefined ? {} : { rooms: plan.ask.rooms }),
    ...(plan?.ask.items === undefined ? {} : { items: plan.ask.items }),
  };
  const of = saidOf(asked, rooms);

  const make = async (what = asked) => {
    setWorking(true);
    setSaid('');
    const giveUp = new AbortController();
    stop.current = giveUp;
    const body: PlanAsk = {
      ...what,
      nest,
      objective: few ? 'fewest_sticks' : 'cost',
    };
    try {
      const sheet = await askOnceSent<StockSheet>(props.job, `/jobs/${props.job}/stock/plan`, {
        method: 'POST',
        body,
        signal: giveUp.signal,
      });
      props.onPlan(sheet);
    } catch (cause) {
      if (giveUp.signal.aborted) setSaid(t('saw.stopped'));
      else setSaid(cause instanceof Refusal ? cause.message : t('saw.planOffline'));
    } finally {
      setWorking(false);
    }
  };
  const behind = plan === undefined ? 0 : plan.behind + plan.missing;
  return (
    <div class="plan-bar">
      {plan !== undefined && (
        <p class="plan-made">
          {t('saw.made', { when: clockTime(plan.made_at), who: personName(plan.made_by) })}{' '}
          <b class="number">{t('saw.cutOf', { cut: plan.cut, count: plan.pieces })}</b>
        </p>
      )}
      {of !== '' && <p class="plan-made">{t('saw.of', { what: of })}</p>}
      {behind > 0 && (
        <p class="plan-behind" role="status">
          <svg class="rod-notch" viewBox="0 0 12 12" aria-hidden="true">
            <path d="M12 0L0 6L12 12Z" />
          </svg>
          {t('saw.behind', { count: behind })}
        </p>
      )}
      <div class="plan-asks no-print">
        <label class="plan-check">
          <input
            type="checkbox"
            checked={nest}
            onChange={(event) => setNest(event.currentTarget.checked)}
          />
          <span>{t('saw.nest')}</span>
        </label>
        <label class="plan-check">
          <input
            type="checkbox"
            checked={few}
            onChange={(event) => setFew(event.currentTarget.checked)}
          />
          <span>{t('saw.few')}</span>
        </label>
        {working ? (
          <Button onPress={() => stop.current?.abort()}>{t('saw.stop')}</Button>
        ) : (
          <Button
            kind={plan === undefined || behind > 0 ? 'main' : 'line'}
            onPress={() => void make()}
          >
            {plan === undefined ? t('saw.plan') : t('saw.planAgain')}
          </Button>
        )}
        {!working && rooms.length > 0 && (
          <span class="plan-choose">
            <Button kind="quiet" onPress={() => setChoosing(true)}>
              {t('saw.of.choose')}
            </Button>
          </span>
        )}
      </div>
      {choosing && (
        <PlanOf
          rooms={rooms}
          asked={asked}
          onClose={() => setChoosing(false)}
          onPlan={(what) => {
            setChoosing(false);
            void make(what);
          }}
        />
      )}
      <p class="plan-said" role="status">
        {working ? t('saw.working') : <Words>{said}</Words>}
      </p>
    </div>
  );
}
