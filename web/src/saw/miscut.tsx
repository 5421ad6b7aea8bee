import { useState } from 'preact/hooks';
import type { AnswerState } from '../board/answer.tsx';
import { perform } from '../board/doing.ts';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Field } from '../parts/field.tsx';
import { Sheet } from '../parts/sheet.tsx';
import { t } from '../words/words.ts';
import { readLength } from './read-length.ts';
import type { StickView } from './stock.ts';

const reasons = ['short', 'angle', 'split', 'knot'] as const;

/** A piece went wrong: how much of the stick it took, and why. The next plan goes without it. */
export function Miscut(props: {
  job: string;
  stick: StickView;
  onClose: () => void;
  onDone: (answer: AnswerState) => void;
}) {
  const next = props.stick.pieces.find(({ state }) => state === 'to_cut');
  const [text, setText] = useState(next?.text ?? '');
  const [why, setWhy] = useState<(typeof reasons)[number]>('short');
  const [refused, setRefused] = useState<string>();
  const keep = async () => {
    const read = await readLength(text);
    if ('sentence' in read) {
      setRefused(read.sentence);
      return;
    }
    const came = await perform(
      'miscut',
      { job: props.job },
      { stick_id: props.stick.id, length: read.nm, reason: t(`saw.miscut.why.${why}`) },
      t('saw.miscut'),
    );
    props.onDone(came);
    props.onClose();
  };
  return (
    <Sheet name={t('saw.miscut')} nameShown modal onClose={props.onClose}>
      <div class="saw-sheet">
        <Field
          label={t('saw.miscut.lost')}
          value={text}
          onInput={setText}
          hint={t('saw.miscut.hint')}
          {...(refused === undefined ? {} : { refused })}
          onEnter={() => void keep()}
        />
        <Choice
          label={t('saw.miscut.why')}
          labelShown
          value={why}
          options={reasons.map((value) => ({ value, label: t(`saw.miscut.why.${value}`) }))}
          onChoose={setWhy}
        />
        <Button kind="main" wide onPress={() => void keep()}>
          {t('saw.miscut.keep')}
        </Button>
      </div>
    </Sheet>
  );
}
