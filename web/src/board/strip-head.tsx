import { t } from '../words/words.ts';

export interface StripHeadProps {
  readonly title: string;
  readonly under: string;
  readonly onClose: () => void;
}

/** The strip's name and the way to put it away. */
export function StripHead({ title, under, onClose }: StripHeadProps) {
  return (
    <header class="chosen-head">
      <div>
        <h2 class="chosen-title">{title}</h2>
        <p class="chosen-under">{under}</p>
      </div>
      <button type="button" class="chosen-close" aria-label={t('action.close')} onClick={onClose}>
        <svg viewBox="0 0 20 20" aria-hidden="true">
          <path d="M3 3L17 17M3 17L17 3" />
        </svg>
      </button>
    </header>
  );
}
