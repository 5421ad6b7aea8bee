import { useRef, useState } from 'preact/hooks';
import { Answer, type AnswerState } from '../board/answer.tsx';
import { type Doing, perform } from '../board/doing.ts';
import { outbox } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Words } from '../parts/fraction.tsx';
import { t } from '../words/words.ts';
import { Board } from './board.tsx';
import { cutUp, Miscut, PutBy } from './stick-sheet.tsx';
import type { PieceView, PlanView, StickView, StockView } from './stock.ts';
import { asTicked, makeHold, type Standing, waitingFor, waitsToBeTaken } from './ticked.ts';

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
  const { job, stock } = props;
  const [answer, setAnswer] = useState<AnswerState>(null);
  const [failed, setFailed] = useState(false);
  const [sheet, setSheet] = useState<'miscut' | 'put-by' | null>(null);
  // What is on its way to the device's disk: a second tap does nothing twice.
  const going = useRef(new Map<string, Standing>());
  const [, redraw] = useState(0);
  const [hold] = useState(makeHold);
  const taking = useRef<Promise<boolean> | null>(null);

  const waiting = outbox.waiting.value;
  const unsent = waiting.length > 0 && (outbox.cutOff.value || !outbox.sending.value);
  const taken = hold.now(
    'stick',
    props.stick,
    waitsToBeTaken(props.stick.id, waiting) ? { cut: true } : null,
  );
  const rows = props.stick.pieces.map((planned) => {
    const name = nameOf(planned);
    const waits = waitingFor(planned, props.stick.id, waiting);
    const goes = going.current.get(name) ?? going.current.get(`${name} ${planned.cut_by}`);
    return {
      name,
      piece: asTicked(planned, hold.now(name, props.stick, waits) ?? goes ?? null),
      going: waits === null && goes !== undefined,
      unsent: unsent && waits?.cut === true,
    };
  });
  const stick = { ...props.stick, pieces: rows.map(({ piece }) => piece) };
  const open = stick.from === 'saw' || stick.taken || taken !== null;

  const take = async (): Promise<boolean> => {
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

  const log = async (piece: PieceView): Promise<Doing | null> => {
    const about = { job, item: piece.item_id };
    const said = t('saw.said.cut', { piece: piece.label, item: piece.item });
    if (piece.state === 'cut') {
      if (piece.cut_by === undefined) return null;
      return perform(
        'withdraw',
        about,
        { command_id: piece.cut_by, reason: t('saw.untickReason') },
        said,
      );
    }
    // Two pieces ticked at once take the stick once.
    taking.current ??= take().finally(() => {
      taking.current = null;
    });
    if (!(await taking.current)) return null;
    if (piece.parts !== undefined && piece.part !== undefined) {
      return perform(
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
    }
    return perform(
      'cut_pieces',
      about,
      {
        stick_id: stick.id,
        pieces: [{ piece: piece.piece, computed: piece.computed, as_cut: piece.computed }],
      },
      said,
    );
  };

  const tick = async (name: string, piece: PieceView) => {
    const doing = piece.state === 'cut' ? `${name} ${piece.cut_by}` : name;
    if (going.current.has(doing)) return;
    going.current.set(doing, { cut: piece.state !== 'cut' });
    setAnswer(null);
    setFailed(false);
    redraw((n) => n + 1);
    try {
      const came = await log(piece);
      if (came?.came === 'refused') hold.forget(name);
      if (came !== null) setAnswer(came);
    } catch {
      setFailed(true);
    }
    going.current.delete(doing);
    redraw((n) => n + 1);
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
          {rows.map((row, at) => (
            <li key={`${row.name}-${at}`}>
              <PieceRow {...row} onTick={() => void tick(row.name, row.piece)} />
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
      {failed && (
        <p class="answer-refused" role="alert">
          {t('saw.failed')}
        </p>
      )}
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

/** A piece among those of its stick. */
function nameOf(piece: PieceView): string {
  return `${piece.item_id} ${piece.piece} ${piece.part ?? 0}`;
}

interface PieceRowProps {
  readonly piece: PieceView;
  /** On its way to the device's disk. */
  readonly going: boolean;
  /** On the disk, and waiting for a signal. */
  readonly unsent: boolean;
  readonly onTick: () => void;
}

function PieceRow({ piece, going, unsent, onTick }: PieceRowProps) {
  const cut = piece.state === 'cut';
  // What is going keeps its box: one that is shut under a finger loses the keyboard's place.
  const fixed =
    piece.state === 'gone' ||
    piece.state === 'changed' ||
    (cut && piece.cut_by === undefined && !going);
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
          event.currentTarget.checked = cut; // drawn by what is known of it, not by the thumb
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
              unsent ? t('bar.ticked') : '',
            ]
              .filter(Boolean)
              .join(' · ')}
          </Words>
        </span>
      </span>
    </label>
  );
}
