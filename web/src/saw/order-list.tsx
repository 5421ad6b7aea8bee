import { Words } from '../parts/fraction.tsx';
import { t } from '../words/words.ts';
import type { PlanView } from './stock.ts';

/** What to ask the yard for, and what goes with it. */
export function OrderList({ job, plan }: { job: string; plan: PlanView }) {
  const files = `/api/v1/jobs/${job}/stock/plan`;
  return (
    <div class="order-list">
      {plan.stocks.map((stock) => (
        <section key={stock.label} class="order-stock">
          <h2 class="stock-name">
            <Words>{stock.label}</Words>
          </h2>
          {stock.order.length === 0 ? (
            <p>{t('saw.order.nothing')}</p>
          ) : (
            <ul>
              {stock.order.map((line) => (
                <li key={`${line.length}-${line.cents}`} class="order-line">
                  <b class="number">{line.count} ×</b>
                  <span class="number">
                    <Words>{line.text}</Words>
                  </span>
                  <span class="number order-money">{line.total ?? t('saw.noPrice')}</span>
                </li>
              ))}
            </ul>
          )}
          <p class="stock-proof number">{t('saw.waste', { percent: stock.waste.toFixed(1) })}</p>
        </section>
      ))}
      {plan.price !== undefined && (
        <p class="order-sum">
          {t('saw.order.sum')} <b class="number">{plan.price}</b>
        </p>
      )}
      {plan.supplies.length > 0 && (
        <section class="order-stock">
          <h2 class="stock-name">{t('saw.supplies')}</h2>
          <ul>
            {plan.supplies.map((supply) => (
              <li key={supply.label} class="supply">
                <b>
                  <Words>{supply.label}</Words>
                </b>
                <span class="number">{supply.amount}</span>
                <span class="supply-basis">
                  <Words>{supply.basis}</Words>
                </span>
              </li>
            ))}
          </ul>
        </section>
      )}
      <p class="order-files no-print">
        <a class="button button-line" href={`${files}.pdf`} download="saw-plan.pdf">
          {t('saw.pdf')}
        </a>
        <a class="button button-line" href={`${files}.csv`} download="saw-plan.csv">
          {t('saw.csv')}
        </a>
        <button type="button" class="button button-line" onClick={() => print()}>
          {t('saw.print')}
        </button>
      </p>
    </div>
  );
}
