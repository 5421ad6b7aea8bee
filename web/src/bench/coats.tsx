import { useState } from 'preact/hooks';
import { act, personName } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Field } from '../parts/field.tsx';
import { Words } from '../parts/fraction.tsx';
import { t } from '../words/words.ts';
import { TurnedBackHere } from './findings.tsx';
import type { PanelProps } from './panel.tsx';
import { TakeBack } from './take-back.tsx';
import { useUsed } from './used.tsx';
import { when } from './when.ts';
import './logged.css';

/** The coats that are on, how many are wanted, and when the next may go on. */
export function Coats(props: PanelProps) {
  const { view, stage } = props;
  const coats = view.coats ?? [];
  const [wanted, setMore] = useState(false);
  const more = wanted || stage.status !== 'done';
  const [product, setProduct] = useState(coats.at(-1)?.product ?? '');
  const { used, chosen, picker } = useUsed(view, 'paint');
  const drying = (stage.findings ?? []).filter(({ clears_at }) => clears_at !== undefined);
  return (
    <div class="coats">
      <ol class="coat-list" aria-label={t('coats.title')}>
        {Array.from({ length: Math.max(view.coats_need, coats.length) }, (_, at) => {
          const coat = coats[at];
          return (
            <li
              key={coat?.command_id ?? `coat-${at}`}
              class={coat === undefined ? 'coat' : 'coat coat-on'}
            >
              <span class="coat-brush" aria-hidden="true" />
              <div class="logged-row">
                <p>
                  {t('coats.number', { number: at + 1 })}
                  <span class="quiet">
                    {coat === undefined
                      ? t('coats.notYet')
                      : [coat.product ?? '', personName(coat.person_id), when(coat.at)]
                          .filter(Boolean)
                          .join(', ')}
                  </span>
                </p>
                {coat !== undefined && (
                  <TakeBack
                    job={view.job_id}
                    item={view.id}
                    itemName={view.name}
                    entry={coat.command_id}
                    says={t('coats.number', { number: at + 1 })}
                  />
                )}
              </div>
            </li>
          );
        })}
      </ol>
      {drying.map((finding) => (
        <p key={finding.sentence} class="drying">
          <Words>{finding.sentence ?? ''}</Words>{' '}
          {finding.clears_at !== undefined && (
            <strong>{t('next.clears', { time: when(finding.clears_at) })}</strong>
          )}
        </p>
      ))}
      <TurnedBackHere item={view.id} claims={({ kind }) => kind === 'log_coat'} />
      {!more && (
        <Button wide onPress={() => setMore(true)}>
          {t('coats.new')}
        </Button>
      )}
      {more && (
        <section class="log-form" aria-label={t('coats.new')}>
          {picker}
          {chosen === undefined && (
            <Field label={t('coats.product')} value={product} onInput={setProduct} />
          )}
          <Button
            kind={coats.length < view.coats_need && drying.length === 0 ? 'main' : 'line'}
            wide
            disabled={used === null}
            onPress={() =>
              void act(
                'log_coat',
                { job: view.job_id, item: view.id },
                {
                  ...used,
                  ...(chosen !== undefined
                    ? { product: chosen.name }
                    : product.trim() === ''
                      ? {}
                      : { product: product.trim() }),
                },
                { said: t('said.coat', { item: view.name }) },
              )
            }
          >
            {t('coats.log')}
          </Button>
        </section>
      )}
    </div>
  );
}
