import { useState } from 'preact/hooks';
import { Answer, type AnswerState } from '../board/answer.tsx';
import { perform } from '../board/doing.ts';
import { Button } from '../parts/button.tsx';
import { Words } from '../parts/fraction.tsx';
import { Notice } from '../parts/notice.tsx';
import { t } from '../words/words.ts';
import type { StockSheet } from './stock.ts';

/** The offcuts put by, drawn by length, each with the place it lies in. */
export function Rack({ job, sheet, again }: { job: string; sheet: StockSheet; again: () => void }) {
  const [answer, setAnswer] = useState<AnswerState>(null);
  const longest = Math.max(1, ...sheet.rack.map(({ length }) => length));
  if (sheet.rack.length === 0) {
    return <Notice kind="empty" sentence={t('saw.rack.empty')} more={t('saw.rack.empty.more')} />;
  }
  return (
    <div class="rack">
      <ul>
        {sheet.rack.map((offcut) => (
          <li key={offcut.id} class="rack-line">
            <span class="rack-stick" style={{ width: `${(offcut.length / longest) * 100}%` }} />
            <b class="number">
              <Words>{offcut.text}</Words>
            </b>
            <span>
              <Words>{offcut.label}</Words>
              {offcut.place === undefined ? '' : `, ${offcut.place}`}
            </span>
            <Button
              kind="quiet"
              name={t('saw.rack.gone.name', { length: offcut.text, stock: offcut.label })}
              onPress={() => {
                void perform(
                  'withdraw',
                  { job },
                  { command_id: offcut.id, reason: t('saw.rack.goneReason') },
                  t('saw.rack.gone'),
                ).then((came) => {
                  setAnswer(came);
                  again();
                });
              }}
            >
              {t('saw.rack.gone')}
            </Button>
          </li>
        ))}
      </ul>
      <Answer answer={answer} />
    </div>
  );
}
