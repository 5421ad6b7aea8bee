import { useState } from 'preact/hooks';
import type { Gap } from '../api/views.ts';
import { act } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Field } from '../parts/field.tsx';
import { t } from '../words/words.ts';
import { TurnedBackHere } from './findings.tsx';
import { Logged } from './logged.tsx';
import type { PanelProps } from './panel.tsx';
import { Printed } from './printed.tsx';
import { Stepper } from './stepper.tsx';
import { TapeSheet } from './tape-sheet.tsx';
import { useUsed } from './used.tsx';

const edges = ['top', 'side', 'bottom', 'between'] as const;
const closings = ['caulk', 'scribe', 'open'] as const;
/** ASTM C920 movement classes in tenths of a percent, as the label prints them. */
const classes = ['0', '125', '250', '350', '500'] as const;

/** Gaps along the trim: which edge, how wide, how it was closed and with what. */
export function Caulk(props: PanelProps) {
  const { view, stage } = props;
  const logged = view.wall_gaps ?? [];
  const last = logged.at(-1);
  const [wanted, setMore] = useState(false);
  const more = wanted || stage.status !== 'done';
  const [edge, setEdge] = useState<Gap['edge'] | null>(null);
  const [width, setWidth] = useState<number | null>(null);
  const [closing, setClosing] = useState<Gap['closing']>('caulk');
  const [passes, setPasses] = useState(1);
  const [backer, setBacker] = useState(false);
  const [product, setProduct] = useState(last?.sealant?.product ?? '');
  const [movement, setMovement] = useState<(typeof classes)[number] | 'latex' | null>(
    last?.sealant === undefined
      ? null
      : last.sealant.latex === true && (last.sealant.class ?? 0) === 0
        ? 'latex'
        : (String(last.sealant.class ?? 0) as (typeof classes)[number]),
  );
  const { used, chosen, picker } = useUsed(view, 'caulk');
  const [taping, setTaping] = useState(false);
  const [missing, setMissing] = useState<string | null>(null);

  const log = () => {
    if (edge === null) return setMissing(t('caulk.noEdge'));
    if (width === null) return setMissing(t('caulk.noWidth'));
    if (closing === 'caulk' && used === null) return setMissing(t('used.odd'));
    if (closing === 'caulk' && chosen === undefined && movement === null)
      return setMissing(t('caulk.noClass'));
    const gap: Gap = {
      edge,
      width,
      closing,
      ...(closing === 'caulk'
        ? {
            passes,
            backer,
            ...(chosen !== undefined
              ? {}
              : {
                  sealant: {
                    product: product.trim(),
                    class: (movement === 'latex' ? 0 : Number(movement ?? 0)) as
                      | 0
                      | 125
                      | 250
                      | 350
                      | 500,
                    latex: movement === 'latex',
                  },
                }),
          }
        : {}),
    };
    void act(
      'log_gap',
      { job: view.job_id, item: view.id },
      { gap, ...(closing === 'caulk' ? used : {}) },
      {
        said: t('said.wallGap', { item: view.name, edge: t(`edge.${edge}`) }),
        nm: width,
      },
    );
    setEdge(null);
    setWidth(null);
    setMissing(null);
  };

  return (
    <div class="caulk">
      <TurnedBackHere item={view.id} claims={({ kind }) => kind === 'log_gap'} />
      {!more && (
        <Button wide onPress={() => setMore(true)}>
          {t('caulk.new')}
        </Button>
      )}
      {more && (
        <section class="log-form" aria-label={t('caulk.new')}>
          <div class="wrap-2">
            <Choice
              label={t('caulk.edge')}
              labelShown
              value={edge}
              options={edges.map((value) => ({ value, label: t(`edge.${value}`) }))}
              onChoose={setEdge}
            />
          </div>
          <div class="form-tape">
            <span class="choice-label">{t('caulk.width')}</span>
            <Button wide onPress={() => setTaping(true)}>
              {width === null ? (
                t('caulk.tapeIt')
              ) : (
                <span class="number">
                  <Printed nm={width} unit={view.unit} />
                </span>
              )}
            </Button>
          </div>
          <Choice
            label={t('caulk.closing')}
            labelShown
            value={closing}
            options={closings.map((value) => ({ value, label: t(`closing.${value}`) }))}
            onChoose={setClosing}
          />
          {closing === 'caulk' && (
            <>
              <Stepper
                label={t('caulk.passes')}
                value={passes}
                least={1}
                most={9}
                onChange={setPasses}
              />
              <Choice
                label={t('caulk.backer')}
                labelShown
                value={backer ? 'yes' : 'no'}
                options={[
                  { value: 'no', label: t('answer.no') },
                  { value: 'yes', label: t('answer.yes') },
                ]}
                onChoose={(value) => setBacker(value === 'yes')}
              />
              {picker}
              {chosen === undefined && (
                <>
                  <div class="wrap-3">
                    <Choice
                      label={t('caulk.class')}
                      labelShown
                      value={movement}
                      options={[
                        ...classes
                          .filter((value) => value !== '0')
                          .map((value) => ({ value, label: t(`class.${value}`) })),
                        { value: 'latex' as const, label: t('class.latex') },
                        { value: '0' as const, label: t('class.0') },
                      ]}
                      onChoose={setMovement}
                    />
                  </div>
                  <Field label={t('caulk.product')} value={product} onInput={setProduct} />
                </>
              )}
            </>
          )}
          <Button kind="main" wide onPress={log}>
            {t('caulk.log')}
          </Button>
          {missing !== null && (
            <p class="form-missing" role="status">
              {missing}
            </p>
          )}
        </section>
      )}
      <Logged
        view={view}
        stage={stage}
        entries={logged.map((gap) => ({
          ...gap,
          product: gap.sealant?.product,
          worked: gap.need?.text,
        }))}
      />
      {taping && (
        <TapeSheet
          unit={view.unit}
          onClose={() => setTaping(false)}
          ask={{
            id: 'width',
            label: t('caulk.width'),
            initial: width,
            onKeep: (nm) => {
              setWidth(nm);
              setMissing(null);
              setTaping(false);
            },
          }}
        />
      )}
    </div>
  );
}
