import { useState } from 'preact/hooks';
import { Answer, type AnswerState } from '../board/answer.tsx';
import { perform } from '../board/doing.ts';
import { Button } from '../parts/button.tsx';
import { Words } from '../parts/fraction.tsx';
import { t } from '../words/words.ts';
import { Board } from './board.tsx';
import { cutUp, Miscut, PutBy } from './stick-sheet.tsx';
import type { PieceView, PlanView, StickView, StockView } from './stock.ts';

/** Every stick of the plan as it lies on the saw, and its pieces to be ticked as they are cut. */
export function Sticks({ job, plan, again }: { job: string; plan: PlanView; again: () => void }) {
  const longest = Math.max(
    1,
    ...plan.stocks.flatMap(({ sticks }) => sticks.map(({ length }) => length)),
  );
  return (
    <div class="sticks">
      {plan.stocks.map((stock) => (
        <section key={stock.label} class="stock">
          <h2 class="stock-name">
            <Words>{stock.label}</Words>
          </h2>
          {stock.refused !== undefined ? (
            <p class="stock-refused">
              <Words>{stock.refused}</Words>
            </p>
          ) : (
            <p class="stock-proof">
              <Words>{[stock.proof, ...stock.notes].filter(Boolean).join(' ')}</Words>
            </p>
          )}
          <ol class="stock-sticks">
            {stock.sticks.map((stick) => (
              <li key={stick.id}>
                <Stick job={job} stock={stock} stick={stick} longest={longest} again={again} />
              </li>
            ))}
          </ol>
        </section>
      ))}
      {plan.left_out.length > 0 && (
        <section class="stock">
          <h2 class="stock-name">{t('saw.leftOut')}</h2>
          <ul class="left-out">
            {plan.left_out.map((left) => (
              <li key={left.item_id + left.sentence}>
                <b>{left.item}</b>, {left.room}: <Words>{left.sentence}</Words>
              </li>
            ))}
          </ul>
        </section>
      )}
    </div>
  );
}

function Stick(props: {
  job: string;
  stock: StockView;
  stick: StickView;
  longest: number;
  again: () => void;
}) {
  const { job, stock, stick } = props;
  const [answer, setAnswer] = useState<AnswerState>(null);
  const [sheet, setSheet] = useState<'miscut' | 'put-by' | null>(null);
  const open = stick.from === 'saw' || stick.taken;

  const take = async () => {
    if (open) return true;
    const came = await perform(
      'take_stick',
      { job, id: stick.id },
      {
        stock: stock.stock,
        length: stick.length,
        ...(stick.offcut_id === undefined ? {} : { offcut_id: stick.offcut_id }),
      },
      t('saw.said.take', { stick: stick.number }),
    );
    if (came.came === 'refused') setAnswer(came);
    return came.came !== 'refused';
  };

  const tick = async (piece: PieceView) => {
    setAnswer(null);
    const about = { job, item: piece.item_id };
    const said = t('saw.said.cut', { piece: piece.label, item: piece.item });
    if (piece.state === 'cut') {
      if (piece.cut_by === undefined) return;
      setAnswer(
        await perform(
          'withdraw',
          about,
          { command_id: piece.cut_by, reason: t('saw.untickReason') },
          said,
        ),
      );
      return;
    }
    if (!(await take())) return;
    if (piece.parts !== undefined && piece.part !== undefined) {
      const came = await perform(
        'saw_part',
        about,
        {
          stick_id: stick.id,
          piece: piece.piece,
          part: piece.part,
          parts: piece.parts,
          as_cut: piece.length,
          computed: piece.computed,
          ...(piece.joints === undefined ? {} : { joints: piece.joints }),
        },
        said,
      );
      setAnswer(came);
      return;
    }
    setAnswer(
      await perform(
        'cut_pieces',
        about,
        {
          stick_id: stick.id,
          pieces: [{ piece: piece.piece, computed: piece.computed, as_cut: piece.computed }],
        },
        said,
      ),
    );
  };

  return (
    <article class={stick.done ? 'stick stick-done' : 'stick'}>
      <h3 class="stick-head">
        <span class="stick-number number">{stick.number}</span>
        <span class="stick-length number">
          <Words>{stick.text}</Words>
        </span>
        <span class="stick-from">
          {stick.place === undefined ? stick.from_label : `${stick.from_label}, ${stick.place}`}
          {open && stick.from !== 'saw' ? `, ${t('saw.onSaw')}` : ''}
        </span>
      </h3>
      <Board stick={stick} longest={props.longest} />
      {stick.pieces.length > 0 && (
        <ul class="stick-pieces">
          {stick.pieces.map((piece, at) => (
            <li key={`${piece.item_id}-${piece.piece}-${piece.part ?? 0}-${at}`}>
              <PieceRow piece={piece} onTick={() => void tick(piece)} />
            </li>
          ))}
        </ul>
      )}
      <div class="stick-ways no-print">
        {open && stick.remainder > 0 && (
          <Button kind="quiet" onPress={() => setSheet('put-by')}>
            <Words>
              {cutUp(stick) ? t('saw.putBy', { length: stick.left }) : t('saw.putBy.rest')}
            </Words>
          </Button>
        )}
        {open && (
          <Button kind="quiet" onPress={() => setSheet('miscut')}>
            {t('saw.miscut')}
          </Button>
        )}
      </div>
      <Answer answer={answer} />
      {sheet === 'miscut' && (
        <Miscut job={job} stick={stick} onClose={() => setSheet(null)} onDone={setAnswer} />
      )}
      {sheet === 'put-by' && (
        <PutBy
          job={job}
          stock={stock.stock}
          stick={stick}
          onClose={() => setSheet(null)}
          onDone={setAnswer}
        />
      )}
    </article>
  );
}

function PieceRow({ piece, onTick }: { piece: PieceView; onTick: () => void }) {
  const cut = piece.state === 'cut';
  const fixed =
    piece.state === 'gone' || piece.state === 'changed' || (cut && piece.cut_by === undefined);
  const name =
    piece.parts === undefined
      ? piece.label
      : t('saw.part', { piece: piece.label, part: piece.part ?? 0, parts: piece.parts });
  return (
    <label class={`piece-row piece-${piece.state}`}>
      <input
        class="piece-tick"
        type="checkbox"
        checked={cut}
        disabled={fixed}
        onChange={(event) => {
          event.currentTarget.checked = cut; // what the log says, until it says otherwise
          onTick();
        }}
      />
      <span class="piece-length number">
        <Words>{piece.text}</Words>
      </span>
      <span class="piece-what">
        <span class="piece-item">
          {piece.item}: {name}
        </span>
        <span class="piece-saw">
          <Words>
            {[
              piece.left.saw === piece.right.saw
                ? t('saw.bothEnds', { saw: piece.left.saw })
                : t('saw.ends', { left: piece.left.saw, right: piece.right.saw }),
              piece.turned ? t('saw.turned') : '',
              piece.rip === undefined ? '' : t('saw.rip', { width: piece.rip }),
              piece.state === 'changed' ? t('saw.changed') : '',
              piece.state === 'gone' ? t('saw.gone') : '',
            ]
              .filter(Boolean)
              .join(' · ')}
          </Words>
        </span>
      </span>
    </label>
  );
}
