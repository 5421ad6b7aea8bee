import { outbox } from '../live/store.ts';
import { t } from '../words/words.ts';
import { places } from './places.ts';
import './waiting-here.css';

/** How much was entered about one item and is not sent yet, on the item itself. */
export function WaitingHere(props: { item: string }) {
  const count = outbox.waiting.value.filter(({ command }) => command.item_id === props.item).length;
  if (count === 0 || (outbox.sending.value && !outbox.cutOff.value)) return null;
  return (
    <p class="waiting-here">
      <a href={places.unsent}>{t('unsent.here', { count })}</a>
    </p>
  );
}
