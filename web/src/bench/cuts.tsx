import { useState } from 'preact/hooks';
import type { CutView, ItemView, StageView } from '../api/views.ts';
import { act } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Drawing } from '../parts/drawing.tsx';
import { Words } from '../parts/fraction.tsx';
import { t } from '../words/words.ts';
import { asList, isDrawn } from './as-list.ts';
import { Explained } from './explained.tsx';
import { Findings, keyed } from './findings.tsx';
import type { PanelProps } from './panel.tsx';
import { RunPieceWords, RunPlan, runPiece } from './run-pieces.tsx';
import { TapeSheet } from './tape-sheet.tsx';
import { capital } from './taping.tsx';
import './cuts.css';

const most = 40;

/** The pieces of a stage: each on its own drawing, its length large, then how the saw stands. */
export function Cuts(props: PanelProps & { onTape: (reading: string) => void }) {
  const { view, stage } = props;
  const [taping, setTaping] = useState<CutView | null>(null);
  const cuts = view.cuts.filter((cut) => cut.stage === stage.stage);
  const toCut = cuts.filter(({ state }) => state === 'to_cut' || state === 'stale');
  if (cuts.length === 0) return <p class="quiet">{t('cuts.none')}</p>;

  const record = (all: readonly CutView[], asCut?: number) => {
    // One command takes no more than this; a long run has more pieces.
    for (let at = 0; at < all.length; at += most) recordSome(all.slice(at, at + most), asCut);
  };
  const recordSome = (pieces: readonly CutView[], asCut?: number) =>
    void act(
      'cut_pieces',
      { job: view.job_id, item: view.id },
      {
        pieces: pieces.map((cut) => ({
          piece: cut.piece,
          computed: cut.value.length,
          as_cut: asCut ?? cut.value.length,
        })),
      },
      {
        said: t('said.cut', {
          item: view.name,
          pieces: pieces.map(({ label }) => label).join(', '),
        }),
        ...(asCut === undefined ? {} : { nm: asCut }),
      },
    );

  return (
    <div class="cuts">
      <RunPlan
        view={view}
        onPiece={(piece) => {
          const card = document.getElementById(`piece-${piece}`);
          card?.scrollIntoView({ block: 'start' });
          card?.querySelector<HTMLElement>('button')?.focus({ preventScroll: true });
        }}
      />
      <ol class="pieces">
        {cuts.map((cut) => (
          <Piece
            key={cut.piece}
            view={view}
            stage={stage}
            cut={cut}
            onLine={() => record([cut])}
            onTape={() => setTaping(cut)}
            onReading={props.onTape}
          />
        ))}
      </ol>
      {toCut.length > 1 && (
        <Button kind="main" wide onPress={() => record(toCut)}>
          {t('cuts.all', { count: toCut.length })}
        </Button>
      )}
      {stage.stage === 'trimmed' && <WorkedOut view={view} />}
      {taping !== null && (
        <TapeSheet
          unit={view.unit}
          onClose={() => setTaping(null)}
          ask={{
            id: taping.piece,
            label: t('cuts.asCut', { piece: taping.label }),
            hint: t('cuts.asCut.hint', { value: taping.tape.text }),
            initial: taping.record?.as_cut ?? null,
            ...(taping.as_cut === undefined ? {} : { initialText: taping.as_cut }),
            onKeep: (nm) => {
              record([taping], nm);
              setTaping(null);
            },
          }}
        />
      )}
    </div>
  );
}

function Piece(props: {
  view: ItemView;
  stage: StageView;
  cut: CutView;
  onLine: () => void;
  onTape: () => void;
  onReading: (reading: string) => void;
}) {
  const { cut } = props;
  const mine = keyed(props.stage).filter(
    ({ finding }) => finding.about === cut.piece && finding.wanted !== true,
  );
  const done = cut.state === 'cut';
  // A piece that is cut steps back, so that the next one comes up under the thumb.
  const [opened, setOpened] = useState(false);
  const head = (
    <>
      <span class="piece-name">
        {capital(cut.label)}
        {cut.quantity > 1 && <span class="number"> × {cut.quantity}</span>}
      </span>
      {done && (
        <span class="piece-was number">
          <Words>{cut.as_cut ?? cut.tape.text}</Words>
        </span>
      )}
      <span class="piece-state">{t(`piece.${cut.state}`)}</span>
    </>
  );
  if (done && !opened) {
    return (
      <li class="piece piece-cut" id={`piece-${cut.piece}`}>
        <h3>
          <button
            type="button"
            class="piece-head piece-closed"
            aria-expanded={false}
            onClick={() => setOpened(true)}
          >
            {head}
          </button>
        </h3>
        <Findings view={props.view} list={mine} />
      </li>
    );
  }
  return (
    <li class={`piece piece-${cut.state}`} id={`piece-${cut.piece}`}>
      <h3>
        {done ? (
          <button
            type="button"
            class="piece-head piece-closed"
            aria-expanded={true}
            onClick={() => setOpened(false)}
          >
            {head}
          </button>
        ) : (
          <span class="piece-head">{head}</span>
        )}
      </h3>
      {isDrawn(cut.drawing) && (
        <div class="piece-drawing">
          <Drawing list={asList(cut.drawing)} pieces />
        </div>
      )}
      <p class="piece-value number">
        <Words>{cut.tape.text}</Words>
        {cut.rip !== undefined && (
          <span class="piece-width">
            <Words>{cut.rip}</Words>
          </span>
        )}
      </p>
      <RunPieceWords view={props.view} cut={cut} onTape={props.onReading} />
      {(cut.saw ?? []).length > 0 && runPiece(props.view, cut) === undefined && (
        <p class="piece-saw">
          <Words>{sawWords(cut)}</Words>
        </p>
      )}
      {(cut.mark_lines ?? []).map((mark) => (
        <div key={mark.label} class="piece-mark">
          <p>
            {capital(mark.label)}:{' '}
            <strong class="number">
              <Words>{mark.text}</Words>
            </strong>
          </p>
        </div>
      ))}
      <Explained explain={cut.explain} exact={cut.exact} />
      {cut.as_cut !== undefined && !done && (
        <p class="piece-ascut">
          {t('cuts.isCut')}{' '}
          <strong class="number">
            <Words>{cut.as_cut}</Words>
          </strong>
        </p>
      )}
      <Findings view={props.view} list={mine} />
      <div class="piece-acts">
        {!done && <Button onPress={props.onLine}>{t('cuts.onLine')}</Button>}
        <Button kind={done ? 'quiet' : 'line'} onPress={props.onTape}>
          {done ? t('cuts.again') : t('cuts.tape')}
        </Button>
      </div>
    </li>
  );
}

/** "Both ends square" rather than "square, square". */
function sawWords(cut: CutView): string {
  const [first, second] = cut.saw ?? [];
  if (first === undefined) return '';
  if (second === undefined) return capital(first);
  if (first === second) return t('cuts.bothEnds', { saw: first });
  return `${capital(first)} · ${second}`;
}

/** What was worked out on the way to the cuts: shim space, head height, squareness. */
function WorkedOut(props: { view: ItemView }) {
  const [open, setOpen] = useState(false);
  const { values } = props.view;
  if (values.length === 0) return null;
  return (
    <section class="worked">
      <Button kind="quiet" expanded={open} onPress={() => setOpen(!open)}>
        {t('values.title')}
      </Button>
      {open && (
        <ul>
          {values.map((value) => (
            <li key={value.name} class="worked-value">
              <p>
                {capital(value.label)}{' '}
                <strong class="number">
                  <Words>{value.text}</Words>
                </strong>
              </p>
              <Explained explain={value.explain} />
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}
