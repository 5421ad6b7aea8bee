import { useState } from 'preact/hooks';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Notice } from '../parts/notice.tsx';
import { type StageName, stageOrder } from '../parts/stages.ts';
import { language, t } from '../words/words.ts';
import { useJob } from './following.ts';
import { type Assumed, type Forecast, hours, useForecast, usual } from './forecast.ts';
import { Spread } from './forecast-spread.tsx';
import { JobFrame, jobHref } from './job-frame.tsx';
import { Stale, Standstill } from './standstill.tsx';
import { dayOf, weekdayOf } from './when.ts';
import './forecast.css';

/** When the job is likely to be done, and all that this rests on. */
export function ForecastScreen({ job }: { job: string }) {
  const followed = useJob(job).shown;
  const [assumed, setAssumed] = useState<Assumed>(usual);
  const { shown, again } = useForecast(job, followed.view?.seq, assumed);
  const view = shown.view;
  return (
    <JobFrame
      job={job}
      here="board"
      title={t('forecast.title')}
      state={followed.view?.name}
      back={{ href: jobHref(job), label: t('board.title') }}
    >
      {view === undefined ? (
        <Standstill
          shown={shown.offline || shown.gone !== undefined ? shown : followed}
          waiting={t('forecast.waiting')}
          again={again}
        />
      ) : (
        <div class="forecast">
          <Stale shown={shown} again={again} />
          {view.even === undefined || view.likely === undefined ? (
            <Notice kind="empty" sentence={t('forecast.nothing')} />
          ) : (
            <Dates view={view} even={view.even} likely={view.likely} />
          )}
          <Taken
            job={job}
            view={view}
            assumed={assumed}
            refused={shown.refused}
            onTake={setAssumed}
          />
          <Minutes view={view} />
        </div>
      )}
    </JobFrame>
  );
}

function Dates({ view, even, likely }: { view: Forecast; even: string; likely: string }) {
  return (
    <section>
      <dl class="forecast-dates">
        <div>
          <dt>{t('forecast.even')}</dt>
          <dd>{dayOf(even)}</dd>
        </div>
        <div>
          <dt>{t('forecast.likely')}</dt>
          <dd>{dayOf(likely)}</dd>
        </div>
      </dl>
      <p>
        {t('forecast.left', { count: view.stages, items: view.items })}{' '}
        {t('forecast.hours', {
          count: hours(view.minutes),
          hours: hours(view.minutes).toLocaleString(language.value.tag),
        })}
      </p>
      {view.held > 0 && <p class="forecast-held">{t('forecast.held', { count: view.held })}</p>}
      <Spread forecast={view} />
      <p class="forecast-how">{t('forecast.how', { runs: view.runs })}</p>
    </section>
  );
}

interface TakenProps {
  readonly job: string;
  readonly view: Forecast;
  readonly assumed: Assumed;
  readonly refused: string | undefined;
  readonly onTake: (assumed: Assumed) => void;
}

/** What is taken of the crew, and may be set otherwise: it changes this page and nothing else. */
function Taken({ job, view, assumed, refused, onTake }: TakenProps) {
  const turn = (day: string) => {
    const days = assumed.days.includes(day)
      ? assumed.days.replace(day, '')
      : [...assumed.days, day].sort().join('');
    if (days !== '') onTake({ ...assumed, days });
  };
  return (
    <section class="forecast-taken" aria-labelledby="forecast-taken">
      <h2 id="forecast-taken">{t('forecast.taken')}</h2>
      <Choice
        label={t('forecast.people')}
        labelShown
        value={String(view.people)}
        options={people(view.people).map((each) => ({ value: each, label: each }))}
        onChoose={(each) => onTake({ ...assumed, people: Number(each) })}
      />
      <fieldset class="forecast-days">
        <legend class="choice-label">{t('forecast.days')}</legend>
        {[...'1234560'].map((day) => (
          <Button
            key={day}
            kind={assumed.days.includes(day) ? 'main' : 'line'}
            pressed={assumed.days.includes(day)}
            onPress={() => turn(day)}
          >
            {weekdayOf(Number(day), 'short')}
          </Button>
        ))}
      </fieldset>
      <div class="forecast-clock">
        {(['from', 'to'] as const).map((end) => (
          <label key={end} class="field">
            <span class="field-label">{t(`forecast.${end}`)}</span>
            <input
              class="field-line"
              type="time"
              value={assumed[end]}
              aria-invalid={refused !== undefined}
              onChange={({ currentTarget: { value } }) => {
                if (value !== '') onTake({ ...assumed, [end]: value });
              }}
            />
          </label>
        ))}
      </div>
      {refused !== undefined && (
        <p class="forecast-held" role="alert">
          {refused}
        </p>
      )}
      <p>
        {t('forecast.dries', {
          filler: view.waits.filler_dry,
          caulk: view.waits.caulk_cure,
          recoat: view.waits.recoat,
          coats: view.waits.coats,
        })}{' '}
        <a href={jobHref(job, 'rules')}>{t('forecast.rules')}</a>
      </p>
    </section>
  );
}

/** One to six, and what it is where that is more. */
function people(now: number): string[] {
  const few = ['1', '2', '3', '4', '5', '6'];
  return now > 6 ? [...few, String(now)] : few;
}

function Minutes({ view }: { view: Forecast }) {
  const groups = (['door', 'opening', 'window', 'run'] as const).filter((group) =>
    view.pace.some((line) => line.group === group),
  );
  if (groups.length === 0) return null;
  const whole = (minutes: number) =>
    minutes.toLocaleString(language.value.tag, { maximumFractionDigits: 0 });
  return (
    <section aria-labelledby="forecast-minutes">
      <h2 id="forecast-minutes">{t('forecast.minutes')}</h2>
      <p>{t('forecast.minutes.more', { weight: view.weight })}</p>
      {groups.map((group) => (
        <table key={group} class="forecast-pace">
          <caption>{t(`forecast.group.${group}`)}</caption>
          <thead>
            <tr>
              <th scope="col">{t('forecast.stage')}</th>
              <th scope="col">{t('forecast.begin')}</th>
              <th scope="col">{t('forecast.seen')}</th>
              <th scope="col">{t('forecast.now')}</th>
            </tr>
          </thead>
          <tbody>
            {view.pace
              .filter((line) => line.group === group)
              .sort((a, b) => place(a.stage) - place(b.stage))
              .map((line) => (
                <tr key={line.stage}>
                  <th scope="row">{t(`stage.${line.stage}`)}</th>
                  <td class="number">{whole(line.assumed)}</td>
                  <td class="number">{line.seen}</td>
                  <td class="number">{whole(line.minutes)}</td>
                </tr>
              ))}
          </tbody>
        </table>
      ))}
    </section>
  );
}

const place = (stage: StageName) => stageOrder.indexOf(stage);
