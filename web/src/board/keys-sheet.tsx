import { Sheet } from '../parts/sheet.tsx';
import { t, type WordKey } from '../words/words.ts';
import { keysOn, turnKeys } from './keys.ts';
import './search.css';

/** Every key of the board, in the order a hand learns them. */
const keys = [
  ['/', 'search'],
  ['?', 'sheet'],
  ['b', 'board'],
  ['s', 'setUp'],
  ['l', 'log'],
  ['f', 'filter'],
  ['h', 'held'],
  ['r', 'ready'],
  ['g', 'give'],
  ['← ↑ ↓ →', 'walk'],
  ['Enter', 'open'],
  ['Esc', 'close'],
] as const;

/** The sheet of keys, and the way to turn the single ones off (WCAG 2.1.4). */
export function KeysSheet({ onClose }: { onClose: () => void }) {
  return (
    <Sheet name={t('keys.title')} nameShown modal onClose={onClose}>
      <dl class="keys">
        {keys.map(([key, what]) => (
          <div key={what}>
            <dt>
              <kbd>{key}</kbd>
            </dt>
            <dd>{t(`keys.${what}` as WordKey)}</dd>
          </div>
        ))}
      </dl>
      <label class="keys-off">
        <input
          type="checkbox"
          checked={keysOn.value}
          onChange={(event) => turnKeys(event.currentTarget.checked)}
        />
        <span>{t('keys.on')}</span>
      </label>
    </Sheet>
  );
}
