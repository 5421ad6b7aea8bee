import { useState } from 'preact/hooks';
import type { JobView } from '../api/views.ts';
import { degreesText, readDegrees, readPercent, scaleName } from '../parts/air.ts';
import { Button } from '../parts/button.tsx';
import { Field } from '../parts/field.tsx';
import { language, t } from '../words/words.ts';
import { Answer, type AnswerState } from './answer.tsx';
import { perform } from './doing.ts';

type Climate = NonNullable<JobView['climate']>;
type Moisture = NonNullable<JobView['moisture']>;

/** The air of the finished rooms over the year, of the house or of one room, and what it does to wood. */
export function Climates({ job }: { job: JobView }) {
  const [at, setAt] = useState('');
  const room = job.rooms.find(({ id }) => id === at);
  const place = room ?? job;
  return (
    <section aria-labelledby="climate" class="climate">
      <h2 id="climate" class="products-head">
        {t('climate.title')}
      </h2>
      <p class="products-why">{t('climate.why')}</p>
      <label class="climate-where">
        <span>{t('climate.where')}</span>
        <select value={at} onChange={(event) => setAt(event.currentTarget.value)}>
          <option value="">{t('climate.house')}</option>
          {job.rooms.map(({ id, name }) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </select>
      </label>
      <Swing
        moisture={place.moisture}
        none={room === undefined ? t('climate.none') : t('climate.noneHere')}
      />
      <ClimateForm
        key={`${at}-${JSON.stringify(place.climate ?? null)}`}
        job={job}
        {...(room === undefined ? {} : { room: room.id })}
        name={room?.name ?? job.name}
        climate={place.climate}
      />
    </section>
  );
}

const least = 4;
const most = 20;

/** Wood's moisture from its driest to its dampest, on a scale: what it swings between is what moves. */
function Swing({ moisture, none }: { moisture: Moisture | undefined; none: string }) {
  if (moisture === undefined) return <p class="product-note">{none}</p>;
  const percent = (value: number) =>
    value.toLocaleString(language.value.tag, { maximumFractionDigits: 1 });
  const at = (value: number) =>
    `${(100 * (Math.min(Math.max(value, least), most) - least)) / (most - least)}%`;
  return (
    <figure class="moisture">
      <div class="moisture-scale" aria-hidden="true">
        <span
          class="moisture-band"
          style={{ left: at(moisture.low), right: `calc(100% - ${at(moisture.high)})` }}
        />
        {[least, 8, 12, 16, most].map((mark) => (
          <span key={mark} class="moisture-mark number" style={{ left: at(mark) }}>
            {mark} %
          </span>
        ))}
      </div>
      <figcaption>
        {t('climate.swing', {
          low: percent(moisture.low),
          high: percent(moisture.high),
          change: percent(moisture.change),
        })}
      </figcaption>
    </figure>
  );
}

interface ClimateFormProps {
  readonly job: JobView;
  readonly room?: string;
  readonly name: string;
  readonly climate: Climate | undefined;
}

function ClimateForm({ job, room, name, climate }: ClimateFormProps) {
  const scale = job.unit;
  const shown = (tenths: number | undefined) =>
    tenths === undefined ? '' : degreesText(tenths, scale);
  const [dry, setDry] = useState({
    degrees: shown(climate?.dry.celsius_tenths),
    humidity: climate === undefined ? '' : String(climate.dry.humidity_tenths / 10),
  });
  const [damp, setDamp] = useState({
    degrees: shown(climate?.damp.celsius_tenths),
    humidity: climate === undefined ? '' : String(climate.damp.humidity_tenths / 10),
  });
  const [odd, setOdd] = useState(false);
  const [answer, setAnswer] = useState<AnswerState>(null);
  const about = { job: job.id, ...(room === undefined ? {} : { room }) };
  const keep = async () => {
    const airs = [dry, damp].map((air) => ({
      celsius_tenths: readDegrees(air.degrees, scale),
      humidity_tenths: readPercent(air.humidity),
    }));
    const [first, second] = airs;
    const whole = (air: (typeof airs)[number] | undefined) =>
      air !== undefined && air.celsius_tenths !== null && air.humidity_tenths !== null
        ? { celsius_tenths: air.celsius_tenths, humidity_tenths: air.humidity_tenths }
        : null;
    const a = whole(first);
    const b = whole(second);
    if (a === null || b === null) return setOdd(true);
    setAnswer(
      await perform(
        'set_climate',
        about,
        { climate: { dry: a, damp: b } },
        t('climate.said', { name }),
      ),
    );
  };
  const fields = (
    legend: string,
    air: typeof dry,
    set: (air: { degrees: string; humidity: string }) => void,
  ) => (
    <fieldset class="product-draft">
      <legend>{legend}</legend>
      <div class="product-fields">
        <Field
          label={scaleName(scale)}
          value={air.degrees}
          onInput={(degrees) => {
            setOdd(false);
            set({ ...air, degrees });
          }}
        />
        <Field
          label={t('climate.humidity')}
          value={air.humidity}
          onInput={(humidity) => {
            setOdd(false);
            set({ ...air, humidity });
          }}
        />
      </div>
    </fieldset>
  );
  return (
    <div class="climate-form">
      {fields(t('climate.dry'), dry, setDry)}
      {fields(t('climate.damp'), damp, setDamp)}
      {odd && (
        <p class="form-missing" role="alert">
          {t('climate.odd')}
        </p>
      )}
      <Answer answer={answer} />
      <Button kind="line" onPress={() => void keep()}>
        {t('climate.keep')}
      </Button>
      {climate !== undefined && (
        <Button
          kind="quiet"
          onPress={() =>
            void perform('set_climate', about, {}, t('climate.said', { name })).then(setAnswer)
          }
        >
          {t('climate.away')}
        </Button>
      )}
    </div>
  );
}
