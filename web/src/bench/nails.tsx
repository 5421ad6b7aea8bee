import { useState } from 'preact/hooks';
import { act } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { t } from '../words/words.ts';
import { TurnedBackHere } from './findings.tsx';
import { Logged } from './logged.tsx';
import type { PanelProps } from './panel.tsx';
import { print } from './printed.tsx';
import { RunNails } from './run-pieces.tsx';
import { type NailKind, type NailPlace, nailKinds, nailPlaces, shelfLengths } from './shelf.ts';
import { Stepper } from './stepper.tsx';

/** What was driven so far, and the next handful to log. */
export function Nails(props: PanelProps) {
  const { view, stage } = props;
  const logged = view.fasteners ?? [];
  const last = logged.at(-1);
  const [wanted, setMore] = useState(false);
  const more = wanted || stage.status !== 'done';
  const [kind, setKind] = useState<NailKind>(last?.kind ?? 'brad18');
  const [length, setLength] = useState<number | null>(null);
  const [count, setCount] = useState(10);
  const [place, setPlace] = useState<NailPlace | null>(null);
  const [asked, setAsked] = useState(false);
  const lengths = shelfLengths(kind);
  const chosen = length !== null && lengths.includes(length) ? length : null;
  const ready = chosen !== null && place !== null;

  const log = () => {
    if (chosen === null || place === null) return setAsked(true);
    void act(
      'log_fasteners',
      { job: view.job_id, item: view.id },
      { fastener: { kind, length: chosen, count, where: place } },
      {
        said: t('said.nails', {
          item: view.name,
          count,
          kind: t(`nail.${kind}`),
          place: t(`nailed.${place}`),
        }),
        nm: chosen,
      },
    );
    setPlace(null);
    setLength(null);
    setAsked(false);
  };

  return (
    <div class="nails">
      <TurnedBackHere item={view.id} claims={({ kind: tried }) => tried === 'log_fasteners'} />
      <RunNails view={view} />
      {!more && (
        <Button wide onPress={() => setMore(true)}>
          {t('nails.new')}
        </Button>
      )}
      {more && (
        <section class="log-form" aria-label={t('nails.new')}>
          <div class="wrap-3">
            <Choice
              label={t('nails.kind')}
              labelShown
              value={kind}
              options={nailKinds.map((value) => ({ value, label: t(`nail.${value}`) }))}
              onChoose={setKind}
            />
          </div>
          <div class="wrap-4">
            <Choice
              label={t('nails.length')}
              labelShown
              value={chosen === null ? null : String(chosen)}
              options={lengths.map((nm) => ({
                value: String(nm),
                label: print(nm, view.unit) || '…',
              }))}
              onChoose={(value) => setLength(Number(value))}
            />
          </div>
          <div class="wrap-4">
            <Choice
              label={t('nails.where')}
              labelShown
              value={place}
              options={nailPlaces(view.spec.run?.profile.kind === 'shoe').map((value) => ({
                value,
                label: t(`nailed.${value}`),
              }))}
              onChoose={setPlace}
            />
          </div>
          <Stepper
            label={t('nails.count')}
            value={count}
            least={1}
            most={10_000}
            by={10}
            onChange={setCount}
          />
          <Button kind={logged.length === 0 || ready ? 'main' : 'line'} wide onPress={log}>
            {t('nails.log')}
          </Button>
          {asked && !ready && (
            <p class="form-missing" role="status">
              {chosen === null ? t('nails.noLength') : t('nails.noPlace')}
            </p>
          )}
        </section>
      )}
      <Logged view={view} stage={stage} entries={logged} />
    </div>
  );
}
