import { useEffect, useRef, useState } from 'preact/hooks';
import { ask } from '../api/client.ts';
import { Refusal } from '../api/refusal.ts';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Words } from '../parts/fraction.tsx';
import { t } from '../words/words.ts';
import { readLength } from './read-length.ts';
import type { StockSheet } from './stock.ts';
import { type Draft, draftOf, merged, readPrice } from './yard-draft.ts';

/** What the yard sells: for each stock its lengths, what one costs and how many there are. */
export function YardList(props: {
  job: string;
  sheet: StockSheet;
  onSet: (sheet: StockSheet) => void;
}) {
  const [drafts, setDrafts] = useState<readonly Draft[]>(() => props.sheet.list.map(draftOf));
  const [whose, setWhose] = useState<'company' | 'job'>('company');
  const [said, setSaid] = useState('');
  // As last shown or saved: what differs from it was typed since.
  const known = useRef(drafts);
  const list = JSON.stringify(props.sheet.list);
  useEffect(() => {
    const before = known.current;
    known.current = props.sheet.list.map(draftOf);
    setDrafts((typed) => merged(typed, before, props.sheet.list));
  }, [list]);
  const change = (at: number, next: Draft) =>
    setDrafts((was) => was.map((each, n) => (n === at ? next : each)));
  const save = async () => {
    try {
      const lines = [];
      for (const draft of drafts) lines.push(await lineOf(draft));
      if (whose === 'company') await ask('/stock/list', { method: 'PUT', body: { lines } });
      const sheet =
        whose === 'company'
          ? await ask<StockSheet>(`/jobs/${props.job}/stock`)
          : await ask<StockSheet>(`/jobs/${props.job}/stock/list`, {
              method: 'PUT',
              body: { lines },
            });
      setDrafts((typed) => merged(typed, drafts, sheet.list));
      known.current = sheet.list.map(draftOf);
      props.onSet(sheet);
      setSaid(t('saw.yard.saved'));
    } catch (cause) {
      setSaid(
        cause instanceof Refusal || cause instanceof Misread ? cause.message : t('saw.planOffline'),
      );
    }
  };
  return (
    <div class="yard-list">
      <p class="stock-proof">{t('saw.yard.how')}</p>
      {drafts.map((draft, at) => (
        <fieldset key={draft.line.label} class="yard-stock">
          <legend class="stock-name">
            <Words>{draft.line.label}</Words>
          </legend>
          <p class="stock-proof">{t(`saw.yard.origin.${draft.line.origin}`)}</p>
          <div class="yard-row yard-row-head" aria-hidden="true">
            <span>{t('saw.yard.length')}</span>
            <span>{t('saw.yard.price')}</span>
            <span>{t('saw.yard.limit')}</span>
          </div>
          {draft.rows.map((row, n) => (
            <div key={n} class="yard-row">
              {(['length', 'price', 'limit'] as const).map((what) => (
                <input
                  key={what}
                  class="yard-cell number"
                  aria-label={`${draft.line.label}, ${t(`saw.yard.${what}`)} ${n + 1}`}
                  value={row[what]}
                  inputMode={what === 'length' ? 'text' : 'decimal'}
                  onInput={(event) =>
                    change(at, {
                      ...draft,
                      rows: draft.rows.map((each, k) =>
                        k === n ? { ...each, [what]: event.currentTarget.value } : each,
                      ),
                    })
                  }
                />
              ))}
            </div>
          ))}
          <div class="plan-asks">
            <Button
              kind="quiet"
              onPress={() =>
                change(at, {
                  ...draft,
                  rows: [...draft.rows, { length: '', price: '', limit: '' }],
                })
              }
            >
              {t('saw.yard.more')}
            </Button>
            <label class="plan-check">
              <input
                type="checkbox"
                checked={draft.flat}
                onChange={(event) => change(at, { ...draft, flat: event.currentTarget.checked })}
              />
              <span>{t('saw.yard.flat')}</span>
            </label>
          </div>
        </fieldset>
      ))}
      <Choice
        label={t('saw.yard.whose')}
        labelShown
        value={whose}
        options={[
          { value: 'company', label: t('saw.yard.company') },
          { value: 'job', label: t('saw.yard.job') },
        ]}
        onChoose={setWhose}
      />
      <p>
        <Button kind="main" onPress={() => void save()}>
          {t('saw.yard.save')}
        </Button>
      </p>
      <p role="status">{said}</p>
    </div>
  );
}

/** Something typed that is no length, price or number; the message says which. */
class Misread extends Error {}

async function lineOf(draft: Draft) {
  const offers = [];
  for (const row of draft.rows) {
    if (row.length.trim() === '') continue;
    const read = await readLength(row.length);
    if ('sentence' in read) throw new Misread(read.sentence);
    const cents = row.price.trim() === '' ? -1 : readPrice(row.price);
    const limit = row.limit.trim() === '' ? -1 : Number(row.limit);
    if (cents === null) throw new Misread(t('saw.yard.badPrice', { text: row.price }));
    if (!Number.isSafeInteger(limit))
      throw new Misread(t('saw.yard.badLimit', { text: row.limit }));
    offers.push({ length: read.nm, cents, limit });
  }
  return { stock: draft.line.stock, ...(draft.flat ? { flat: true } : {}), offers };
}
