import { useState } from 'preact/hooks';
import type { CommandBody } from '../api/command.ts';
import { newId } from '../api/command.ts';
import type { JobView } from '../api/views.ts';
import { pullJob } from '../live/store.ts';
import {
  degreesText,
  readDegrees,
  readNumber,
  readPercent,
  type Scale,
  scaleName,
} from '../parts/air.ts';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Field } from '../parts/field.tsx';
import { Notice } from '../parts/notice.tsx';
import { Sheet } from '../parts/sheet.tsx';
import { t } from '../words/words.ts';
import { Answer, type AnswerState } from './answer.tsx';
import { Climates } from './climate.tsx';
import { perform } from './doing.ts';
import { useJob } from './following.ts';
import { JobFrame, jobHref } from './job-frame.tsx';
import { Stale, Standstill } from './standstill.tsx';
import './products.css';

type Product = NonNullable<JobView['products']>[number];
type Kind = Product['kind'];
type Time = NonNullable<Product['times']>[number];
type Phase = Time['phase'];

const kinds: readonly Kind[] = ['filler', 'caulk', 'putty', 'paint', 'adhesive'];
const phases: Readonly<Record<Kind, readonly [Phase, ...Phase[]]>> = {
  filler: ['filler_dry', 'filler_sand'],
  caulk: ['caulk_skin', 'caulk_cure'],
  putty: ['recoat'],
  paint: ['recoat'],
  adhesive: ['caulk_skin', 'caulk_cure'],
};
const classes = ['125', '250', '350', '500'] as const;

/** What the job is filled, caulked and painted with, as its sheets say, and the house's air. */
export function ProductsScreen({ job }: { job: string }) {
  const { shown } = useJob(job);
  const view = shown.view;
  const again = () => void pullJob(job);
  return (
    <JobFrame
      job={job}
      here="rules"
      title={t('products.title')}
      state={view?.name}
      back={{ href: jobHref(job, 'rules'), label: t('houseRules.title') }}
    >
      {view === undefined ? (
        <Standstill shown={shown} waiting={t('board.job.waiting')} again={again} />
      ) : (
        <div class="products">
          <Stale shown={shown} again={again} />
          <Products job={view} />
          <Climates job={view} />
        </div>
      )}
    </JobFrame>
  );
}

function Products({ job }: { job: JobView }) {
  const [open, setOpen] = useState<Product | 'new' | null>(null);
  const list = job.products ?? [];
  return (
    <section aria-labelledby="products">
      <h2 id="products" class="products-head">
        {t('products.sheets')}
      </h2>
      <p class="products-why">{t('products.why')}</p>
      {list.length === 0 ? (
        <Notice kind="empty" sentence={t('products.none')} more={t('products.none.more')} />
      ) : (
        <ul class="product-list">
          {list.map((product) => (
            <li
              key={product.product_id}
              class={product.gone === true ? 'product product-gone' : 'product'}
            >
              <h3 class="product-name">
                {product.name} <span class="product-kind">{t(`product.${product.kind}`)}</span>
              </h3>
              {product.gone === true && <p class="product-note">{t('products.gone')}</p>}
              {(product.times ?? []).length === 0 ? (
                <p class="product-note">{t('products.noRows')}</p>
              ) : (
                <ol class="product-rows">
                  {(product.times ?? []).map((time, at) => (
                    <Row
                      key={`${time.phase}-${at}`}
                      time={time}
                      all={product.times ?? []}
                      scale={job.unit}
                    />
                  ))}
                </ol>
              )}
              {product.coldest_tenths !== undefined && (
                <p class="product-note">
                  {t('products.notUnder', {
                    degrees: `${degreesText(product.coldest_tenths, job.unit)} ${scaleName(job.unit)}`,
                  })}
                </p>
              )}
              <Button onPress={() => setOpen(product)}>
                {t('products.change', { name: product.name })}
              </Button>
            </li>
          ))}
        </ul>
      )}
      <Button kind={list.length === 0 ? 'main' : 'line'} onPress={() => setOpen('new')}>
        {t('products.add')}
      </Button>
      {open !== null && (
        <ProductForm
          job={job}
          product={open === 'new' ? null : open}
          onClose={() => setOpen(null)}
        />
      )}
    </section>
  );
}

/** One row of a sheet: how long, drawn against the longest of them, and in what air. */
function Row({ time, all, scale }: { time: Time; all: readonly Time[]; scale: Scale }) {
  const longest = Math.max(...all.map(({ minutes }) => minutes));
  return (
    <li class="product-row">
      <span class="product-wait">
        {t(`phase.${time.phase}`)} <strong class="number">{waitText(time.minutes)}</strong>
      </span>
      <span class="product-bar" aria-hidden="true">
        <span style={{ width: `${Math.max(2, (100 * time.minutes) / longest)}%` }} />
      </span>
      <span class="product-air">{airText(time, scale)}</span>
    </li>
  );
}

function airText(time: Time, scale: Scale): string {
  const degrees = `${degreesText(time.celsius_tenths, scale)} ${scaleName(scale)}`;
  return time.humidity_tenths === undefined
    ? t('products.at', { degrees })
    : t('products.atDamp', { degrees, percent: time.humidity_tenths / 10 });
}

function waitText(minutes: number): string {
  if (minutes % 60 === 0) return t('rules.hours', { count: minutes / 60 });
  return t('rules.minutes', { count: minutes });
}

interface RowDraft {
  readonly phase: Phase;
  readonly hours: string;
  readonly degrees: string;
  readonly humidity: string;
}

/** The sheet as it is written down. What cannot be is refused by the rules, with their reason. */
function ProductForm(props: { job: JobView; product: Product | null; onClose: () => void }) {
  const { job, product } = props;
  const scale = job.unit;
  const [kind, setKind] = useState<Kind>(product?.kind ?? 'filler');
  const [name, setName] = useState(product?.name ?? '');
  const [rows, setRows] = useState<readonly RowDraft[]>(
    (product?.times ?? []).map((time) => draftOf(time, scale)),
  );
  const [coldest, setColdest] = useState(
    product?.coldest_tenths === undefined ? '' : degreesText(product.coldest_tenths, scale),
  );
  const [label, setLabel] = useState<(typeof classes)[number] | 'latex' | '0'>(
    product?.latex === true ? 'latex' : ((String(product?.class ?? 0) as '0') ?? '0'),
  );
  const [answer, setAnswer] = useState<AnswerState>(null);
  const [missing, setMissing] = useState<string | null>(null);

  const change = (at: number, part: Partial<RowDraft>) => {
    setMissing(null);
    setRows(rows.map((row, i) => (i === at ? { ...row, ...part } : row)));
  };
  const keep = async (gone: boolean) => {
    if (name.trim() === '') return setMissing(t('products.noName'));
    const times: Time[] = [];
    for (const row of rows) {
      const hours = readNumber(row.hours);
      const degrees = readDegrees(row.degrees, scale);
      const humidity = row.humidity.trim() === '' ? undefined : readPercent(row.humidity);
      if (hours === null || degrees === null || humidity === null) {
        return setMissing(t('products.rowOdd'));
      }
      times.push({
        phase: row.phase,
        celsius_tenths: degrees,
        minutes: Math.round(hours * 60),
        ...(humidity === undefined ? {} : { humidity_tenths: humidity }),
      });
    }
    const cold = coldest.trim() === '' ? undefined : readDegrees(coldest, scale);
    if (cold === null) return setMissing(t('products.coldOdd'));
    const body: CommandBody<'set_product'> = {
      product_id: product?.product_id ?? newId(),
      kind,
      name: name.trim(),
      ...(times.length === 0 ? {} : { times }),
      ...(cold === undefined ? {} : { coldest_tenths: cold }),
      ...(kind === 'caulk' && label === 'latex' ? { latex: true } : {}),
      ...(kind === 'caulk' && label !== 'latex' && label !== '0'
        ? { class: Number(label) as 125 | 250 | 350 | 500 }
        : {}),
      ...(gone ? { gone: true } : {}),
    };
    const came = await perform(
      'set_product',
      { job: job.id },
      body,
      t('products.said', { name: body.name }),
    );
    setAnswer(came);
    if (came.came !== 'refused') props.onClose();
  };

  return (
    <Sheet
      name={product === null ? t('products.add') : t('products.change', { name: product.name })}
      nameShown
      modal
      onClose={props.onClose}
    >
      <div class="product-form">
        {product === null && (
          <div class="wrap-3">
            <Choice
              label={t('products.kind')}
              labelShown
              value={kind}
              options={kinds.map((value) => ({ value, label: t(`product.${value}`) }))}
              onChoose={(value) => {
                setKind(value);
                setRows(rows.map((row) => ({ ...row, phase: phases[value][0] })));
              }}
            />
          </div>
        )}
        <Field
          label={t('products.name')}
          hint={t('products.name.hint')}
          value={name}
          onInput={(value) => {
            setMissing(null);
            setName(value);
          }}
        />
        {kind === 'caulk' && (
          <div class="wrap-3">
            <Choice
              label={t('caulk.class')}
              labelShown
              value={label}
              options={[
                ...classes.map((value) => ({ value, label: t(`class.${value}`) })),
                { value: 'latex' as const, label: t('class.latex') },
                { value: '0' as const, label: t('class.0') },
              ]}
              onChoose={setLabel}
            />
          </div>
        )}
        {rows.map((row, at) => (
          <fieldset class="product-draft" key={`row-${at}`}>
            <legend>{t('products.row', { number: at + 1 })}</legend>
            {phases[kind].length > 1 && (
              <Choice
                label={t('products.phase')}
                value={row.phase}
                options={phases[kind].map((value) => ({ value, label: t(`phase.${value}`) }))}
                onChoose={(phase) => change(at, { phase })}
              />
            )}
            <div class="product-fields">
              <Field
                label={t('products.hours')}
                value={row.hours}
                onInput={(hours) => change(at, { hours })}
              />
              <Field
                label={scaleName(scale)}
                value={row.degrees}
                onInput={(degrees) => change(at, { degrees })}
              />
              <Field
                label={t('products.humidity')}
                value={row.humidity}
                onInput={(humidity) => change(at, { humidity })}
              />
            </div>
            <Button kind="quiet" onPress={() => setRows(rows.filter((_, i) => i !== at))}>
              {t('products.rowAway')}
            </Button>
          </fieldset>
        ))}
        <Button
          onPress={() =>
            setRows([
              ...rows,
              {
                phase:
                  phases[kind][Math.min(rows.length, phases[kind].length - 1)] ?? phases[kind][0],
                hours: '',
                degrees: scale === 'in' ? '70' : '20',
                humidity: '',
              },
            ])
          }
        >
          {t('products.addRow')}
        </Button>
        <Field
          label={t('products.coldest', { scale: scaleName(scale) })}
          hint={t('products.optional')}
          value={coldest}
          onInput={(value) => {
            setMissing(null);
            setColdest(value);
          }}
        />
        {missing !== null && (
          <p class="form-missing" role="alert">
            {missing}
          </p>
        )}
        <Answer answer={answer} />
        <Button kind="main" wide onPress={() => void keep(false)}>
          {t('products.keep')}
        </Button>
        {product !== null && product.gone !== true && (
          <Button kind="quiet" onPress={() => void keep(true)}>
            {t('products.retire')}
          </Button>
        )}
      </div>
    </Sheet>
  );
}

function draftOf(time: Time, scale: Scale): RowDraft {
  return {
    phase: time.phase,
    hours: String(Math.round((time.minutes / 60) * 100) / 100),
    degrees: degreesText(time.celsius_tenths, scale),
    humidity: time.humidity_tenths === undefined ? '' : String(time.humidity_tenths / 10),
  };
}
