import { signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { ItemView, JobView } from '../api/views.ts';
import { jobView, pullJob } from '../live/store.ts';
import { readDegrees, readPercent, scaleName } from '../parts/air.ts';
import { Choice } from '../parts/choice.tsx';
import { Field } from '../parts/field.tsx';
import { me } from '../sign-in/session.ts';
import { t } from '../words/words.ts';

type Product = NonNullable<JobView['products']>[number];

/** What a log entry says of the product whose sheet counts and of the air it went on in. */
export interface Used {
  readonly product_id?: string;
  readonly celsius_tenths?: number;
  readonly humidity_tenths?: number;
}

interface Air {
  readonly degrees: string;
  readonly humidity: string;
}

// Read once and good for the morning: each panel begins with what the last one had in that house, of
// the same person and on the same scale.
const air = signal<Air & { readonly of: string }>({ of: '', degrees: '', humidity: '' });
const lastOf = signal<Readonly<Record<string, string>>>({});

/** The job's sheets of one kind to choose from, and the air now. `used` is null while that is odd. */
export function useUsed(view: ItemView, kind: Product['kind']) {
  const products = (jobView(view.job_id).value.view?.products ?? []).filter(
    (product) => product.kind === kind && product.gone !== true,
  );
  // An item opened by its address has not read its job yet.
  useEffect(() => {
    if (jobView(view.job_id).peek().view === undefined) void pullJob(view.job_id);
  }, [view.job_id]);
  const remembered = lastOf.value[`${view.job_id} ${kind}`];
  const chosen = products.find(({ product_id }) => product_id === remembered);
  const of = `${me().person_id} ${view.job_id} ${view.unit}`;
  const now = air.value.of === of ? air.value : { degrees: '', humidity: '' };
  // Where no product is chosen the air is not asked for, and nothing unseen is logged.
  const read = (text: string, how: (text: string) => number | null) =>
    chosen === undefined || text.trim() === '' ? undefined : how(text);
  const celsius = read(now.degrees, (text) => readDegrees(text, view.unit));
  const percent = read(now.humidity, readPercent);
  const used: Used | null =
    celsius === null || percent === null
      ? null
      : {
          ...(chosen === undefined ? {} : { product_id: chosen.product_id }),
          ...(celsius === undefined ? {} : { celsius_tenths: celsius }),
          ...(percent === undefined ? {} : { humidity_tenths: percent }),
        };
  const choose = (product: string) => {
    lastOf.value = { ...lastOf.value, [`${view.job_id} ${kind}`]: product };
  };
  const write = (part: Partial<Air>) => {
    air.value = { ...now, of, ...part };
  };
  const odd = { degrees: celsius === null, humidity: percent === null };
  const picker = <Picker {...{ view, kind, products, chosen, choose, air: now, odd, write }} />;
  return { used, chosen, picker };
}

function Picker(props: {
  view: ItemView;
  kind: Product['kind'];
  products: readonly Product[];
  chosen: Product | undefined;
  choose: (product: string) => void;
  air: Air;
  odd: Readonly<Record<keyof Air, boolean>>;
  write: (part: Partial<Air>) => void;
}) {
  const { products, chosen, odd, write } = props;
  if (products.length === 0) return null;
  return (
    <div class="used">
      <div class="wrap-2">
        <Choice
          label={`${t('used.with')}: ${t(`product.${props.kind}`)}`}
          labelShown
          value={chosen?.product_id ?? ''}
          options={[
            ...products.map(({ product_id, name }) => ({ value: product_id, label: name })),
            { value: '', label: t('used.unlisted') },
          ]}
          onChoose={props.choose}
        />
      </div>
      {chosen !== undefined && (
        <div class="used-air">
          <Field
            label={t('used.air', { scale: scaleName(props.view.unit) })}
            value={props.air.degrees}
            {...(odd.degrees ? { refused: t('used.odd') } : {})}
            onInput={(degrees) => write({ degrees })}
          />
          <Field
            label={t('used.humidity')}
            value={props.air.humidity}
            {...(odd.humidity ? { refused: t('used.odd') } : {})}
            onInput={(humidity) => write({ humidity })}
          />
        </div>
      )}
    </div>
  );
}
