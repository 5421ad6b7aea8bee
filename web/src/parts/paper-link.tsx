import { t } from '../words/words.ts';
import './paper-link.css';

/** Sheets to print, made by the service. They open beside the app, which stays as it is. */
export function PaperLink({ href, label }: { href: string; label: string }) {
  return (
    <a class="paper-link" href={`/api/v1${href}`} target="_blank" rel="noopener">
      <svg viewBox="0 0 20 24" aria-hidden="true">
        <path d="M2 2H12L18 8V22H2ZM12 2V8H18M6 13H14M6 17H14" />
      </svg>
      {label}
      <span class="paper-kind">{t('paper.kind')}</span>
    </a>
  );
}
