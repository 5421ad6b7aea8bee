import type { ComponentChildren } from 'preact';
import { useRef, useState } from 'preact/hooks';
import type { AnswerState } from '../board/answer.tsx';
import { perform } from '../board/doing.ts';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Field } from '../parts/field.tsx';
import { Sheet } from '../parts/sheet.tsx';
import { t } from '../words/words.ts';
import { readLength } from './read-length.ts';
import type { StickView, StockView } from './stock.ts';

interface OfStick {
  readonly job: string;
  readonly stick: StickView;
  readonly onClose: () => void;
  readonly onDone: (answer: AnswerState) => void;
}

/** Every piece the plan has on it is cut: what is left is what the plan says. */
export function cutUp(stick: StickView): boolean {
  return stick.pieces.every(({ state }) => state === 'cut');
}

const reasons = ['short', 'angle', 'split', 'knot'] as const;

/** A piece went wrong: how much of the stick it took, and why. The next plan goes without it. */
export function Miscut(props: OfStick) {
  const { job, stick } = props;
  const next = stick.pieces.find(({ state }) => state === 'to_cut');
  const [why, setWhy] = useState<(typeof reasons)[number]>('short');
  return (
    <LengthSheet
      {...props}
      title={t('saw.miscut')}
      label={t('saw.miscut.lost')}
      hint={t('saw.miscut.hint')}
      initial={next?.text ?? ''}
      keep={t('saw.miscut.keep')}
      onKeep={(length) =>
        perform(
          'miscut',
          { job },
          { stick_id: stick.id, length, reason: t(`saw.miscut.why.${why}`) },
          t('saw.miscut'),
        )
      }
    >
      <Choice
        label={t('saw.miscut.why')}
        labelShown
        value={why}
        options={reasons.map((value) => ({ value, label: t(`saw.miscut.why.${value}`) }))}
        onChoose={setWhy}
      />
    </LengthSheet>
  );
}

/** What is left goes on the rack: its length as taped, and where it lies. */
export function PutBy(props: OfStick & { stock: StockView['stock'] }) {
  const { job, stick, stock } = props;
  const [where, setWhere] = useState('');
  return (
    <LengthSheet
      {...props}
      title={t('saw.putBy.title')}
      label={t('saw.putBy.length')}
      hint={t('saw.putBy.hint')}
      initial={cutUp(stick) ? stick.left : ''}
      keep={t('saw.putBy.keep')}
      onKeep={(length) =>
        perform(
          'return_offcut',
          { job },
          {
            stock,
            length,
            ...(where.trim() === '' ? {} : { place: where.trim() }),
            stick_id: stick.id,
          },
          t('saw.putBy.said'),
        )
      }
    >
      <Field label={t('saw.putBy.place')} value={where} onInput={setWhere} />
    </LengthSheet>
  );
}

/** A length off a stick, read by the rule book before it is kept. */
function LengthSheet(
  props: OfStick & {
    title: string;
    label: string;
    hint: string;
    initial: string;
    keep: string;
    onKeep: (nm: number) => Promise<AnswerState>;
    children: ComponentChildren;
  },
) {
  const [text, setText] = useState(props.initial);
  const [refused, setRefused] = useState<string>();
  const [keeping, setKeeping] = useState(false);
  const under = useRef(false);
  const keep = async () => {
    // Asked of the ref: two taps come before anything is drawn anew.
    if (under.current) return;
    under.current = true;
    setKeeping(true);
    try {
      const read = await readLength(text);
      if ('sentence' in read) {
        setRefused(read.sentence);
        return;
      }
      props.onDone(await props.onKeep(read.nm));
      props.onClose();
    } catch {
      setRefused(t('saw.failed'));
    } finally {
      under.current = false;
      setKeeping(false);
    }
  };
  return (
    <Sheet name={props.title} nameShown modal onClose={props.onClose}>
      <div class="saw-sheet">
        <Field
          label={props.label}
          value={text}
          onInput={setText}
          hint={props.hint}
          {...(refused === undefined ? {} : { refused })}
          onEnter={() => void keep()}
        />
        {props.children}
        <Button kind="main" wide disabled={keeping} onPress={() => void keep()}>
          {props.keep}
        </Button>
      </div>
    </Sheet>
  );
}
