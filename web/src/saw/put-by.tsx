import { useState } from 'preact/hooks';
import type { AnswerState } from '../board/answer.tsx';
import { perform } from '../board/doing.ts';
import { Button } from '../parts/button.tsx';
import { Field } from '../parts/field.tsx';
import { Sheet } from '../parts/sheet.tsx';
import { t } from '../words/words.ts';
import { readLength } from './read-length.ts';
import type { StickView, StockView } from './stock.ts';

/** What is left goes on the rack: its length as taped, and where it lies. */
export function PutBy(props: {
  job: string;
  stock: StockView['stock'];
  stick: StickView;
  onClose: () => void;
  onDone: (answer: AnswerState) => void;
}) {
  const [text, setText] = useState(props.stick.left);
  const [where, setWhere] = useState('');
  const [refused, setRefused] = useState<string>();
  const keep = async () => {
    const read = await readLength(text);
    if ('sentence' in read) {
      setRefused(read.sentence);
      return;
    }
    const came = await perform(
      'return_offcut',
      { job: props.job },
      {
        stock: props.stock,
        length: read.nm,
        ...(where.trim() === '' ? {} : { place: where.trim() }),
        ...(props.stick.taken || props.stick.from === 'saw' ? { stick_id: props.stick.id } : {}),
      },
      t('saw.putBy.said'),
    );
    props.onDone(came);
    props.onClose();
  };
  return (
    <Sheet name={t('saw.putBy.title')} nameShown modal onClose={props.onClose}>
      <div class="saw-sheet">
        <Field
          label={t('saw.putBy.length')}
          value={text}
          onInput={setText}
          hint={t('saw.putBy.hint')}
          {...(refused === undefined ? {} : { refused })}
        />
        <Field
          label={t('saw.putBy.place')}
          value={where}
          onInput={setWhere}
          onEnter={() => void keep()}
        />
        <Button kind="main" wide onPress={() => void keep()}>
          {t('saw.putBy.keep')}
        </Button>
      </div>
    </Sheet>
  );
}
