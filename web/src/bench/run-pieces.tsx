import { useState } from 'preact/hooks';
import type { CutView, ItemView, RunCornerView, RunPieceView } from '../api/views.ts';
import { Button } from '../parts/button.tsx';
import { Drawing } from '../parts/drawing.tsx';
import { Words } from '../parts/fraction.tsx';
import { Sheet } from '../parts/sheet.tsx';
import { t } from '../words/words.ts';
import { asList, isDrawn } from './as-list.ts';
import { capital } from './taping.tsx';
import './run-pieces.css';

/** The room's plan with the run's pieces: a length leads to its piece, a corner to its section. */
export function RunPlan(props: { view: ItemView; onPiece: (piece: string) => void }) {
  const { view } = props;
  const [corner, setCorner] = useState<RunCornerView | null>(null);
  if (!isDrawn(view.cut_drawing) || view.run === undefined) return null;
  const { corners } = view.run;
  return (
    <>
      <div class="run-plan">
        <Drawing
          list={asList(view.cut_drawing)}
          pieces
          onTouch={(key) => {
            const found = corners.find((each) => each.key === key);
            if (found === undefined) props.onPiece(key);
            else setCorner(found);
          }}
        />
      </div>
      {corner !== null && (
        <Sheet name={capital(corner.label)} nameShown modal onClose={() => setCorner(null)}>
          <div class="asking">
            <CornerSection corner={corner} />
            <Button kind="main" wide onPress={() => setCorner(null)}>
              {t('action.close')}
            </Button>
          </div>
        </Sheet>
      )}
    </>
  );
}

/** Two pieces meeting, seen from above, and how the saw stands for them. */
export function CornerSection(props: { corner: RunCornerView }) {
  const { corner } = props;
  return (
    <section class="corner" aria-label={corner.label}>
      <Drawing list={asList(corner.drawing)} />
      <dl class="corner-words">
        <dt>{t('run.corner.angle')}</dt>
        <dd class="number">{corner.angle}</dd>
        {corner.left !== undefined && (
          <>
            <dt>{t('run.left')}</dt>
            <dd>{corner.left}</dd>
          </>
        )}
        {corner.right !== undefined && (
          <>
            <dt>{t('run.right')}</dt>
            <dd>{corner.right}</dd>
          </>
        )}
        <dt>{t('run.saw')}</dt>
        <dd class="number">{corner.saw}</dd>
      </dl>
    </section>
  );
}

/** What a piece of a run is besides its length: its two ends, its nails, tape against arithmetic. */
export function RunPieceWords(props: {
  view: ItemView;
  cut: CutView;
  onTape: (reading: string) => void;
}) {
  const piece = runPiece(props.view, props.cut);
  if (piece === undefined) return null;
  return (
    <>
      <dl class="run-ends">
        <dt>{t('run.left')}</dt>
        <dd>
          {piece.left.label}, <span class="number">{piece.left.saw}</span>
        </dd>
        <dt>{t('run.right')}</dt>
        <dd>
          {piece.right.label}, <span class="number">{piece.right.saw}</span>
        </dd>
        {piece.short !== props.cut.tape.text && (
          <>
            <dt>{t('run.short')}</dt>
            <dd class="number">
              <Words>{piece.short}</Words>
            </dd>
          </>
        )}
        <dt>{t('run.worked')}</dt>
        <dd class="number">
          <Words>{piece.worked}</Words>
        </dd>
        <dt>{t('run.taped')}</dt>
        <dd class="number">
          {piece.taped === undefined ? (
            t('run.notTaped')
          ) : (
            <Words>
              {piece.apart === undefined
                ? piece.taped
                : t('run.apart', { taped: piece.taped, apart: piece.apart })}
            </Words>
          )}
        </dd>
        {piece.nails !== undefined && piece.nails > 0 && (
          <>
            <dt>{t('run.nails')}</dt>
            <dd>
              <Words>{nailWords(piece)}</Words>
            </dd>
          </>
        )}
      </dl>
      <Button kind="quiet" onPress={() => props.onTape(piece.reading)}>
        {t('run.tape')}
      </Button>
    </>
  );
}

function nailWords(piece: RunPieceView): string {
  const { nails = 0, toe_pairs, studs = [] } = piece;
  if (toe_pairs !== undefined) return t('run.nails.toe', { pairs: toe_pairs });
  if (studs.length === 0) return t('run.nails.count', { nails });
  return t('run.nails.studs', { nails, studs: studs.join(' · ') });
}

export function runPiece(view: ItemView, cut: CutView): RunPieceView | undefined {
  return view.run?.pieces.find(({ piece }) => piece === cut.piece);
}

/** What the whole run takes by its studs, said where nails are logged. */
export function RunNails(props: { view: ItemView }) {
  const pieces = props.view.run?.pieces ?? [];
  const nails = pieces.reduce((sum, piece) => sum + (piece.nails ?? 0), 0);
  if (nails === 0) return null;
  const toe = pieces.reduce((sum, piece) => sum + (piece.toe_pairs ?? 0), 0);
  return (
    <p class="run-nails">
      {t('run.nails.all', { nails })}
      {toe > 0 && ` ${t('run.nails.allToe', { pairs: toe })}`}
    </p>
  );
}
