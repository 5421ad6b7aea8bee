import { signal } from '@preact/signals';
import { useEffect, useState } from 'preact/hooks';
import type { ItemView, JobView } from '../api/views.ts';
import { jobView, pullJob } from '../live/store.ts';
import { readDegrees, readPercent, scaleName } from '../parts/air.ts';
import { Choice } from '../parts/choice.tsx';
import { Field } from '../parts/field.tsx';
import { t } from '../words/words.ts';

type Product = NonNullable<JobView['products']>[number];

/** What a log entry says of the product whose sheet counts and of the air it went on in. */
export interface Used {
  readonly product_id?: string;
  readonly celsius_tenths?: number;
  readonly humidity_tenths?: number;
}

// Read once and good for the morning: each panel begins with what the last one had.
const air = signal({ degrees: '', humidity: '' });
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
  const { degrees, humidity } = air.value;
  const celsius = degrees.trim() === '' ? undefined : readDegrees(degrees, view.unit);
  const percent = humidity.trim() === '' ? undefined : readPercent(humidity);
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
  return { used, chosen, picker: <Picker {...{ view, kind, products, chosen, choose }} /> };
}

function Picker(props: {
  view: ItemView;
  kind: Product['kind'];
  products: readonly Product[];
  chosen: Product | undefined;
  choose: (product: string) => void;
}) {
  const { products, chosen } = props;
  const [odd, setOdd] = useState(false);
  if (products.length === 0) return null;
  const write = (part: Partial<typeof air.value>) => {
    air.value = { ...air.value, ...part };
    const { degrees, humidity } = air.value;
    setOdd(
      (degrees.trim() !== '' && readDegrees(degrees, props.view.unit) === null) ||
        (humidity.trim() !== '' && readPercent(humidity) === null),
    );
  };
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
            value={air.value.degrees}
            {...(odd ? { refused: t('used.odd') } : {})}
            onInput={(degrees) => write({ degrees })}
          />
          <Field
            label={t('used.humidity')}
            value={air.value.humidity}
            onInput={(humidity) => write({ humidity })}
          />
        </div>
      )}
    </div>
  );
}
