import { useId, useState } from 'preact/hooks';
import type { Explanation } from '../api/views.ts';
import { Words } from '../parts/fraction.tsx';
import { t } from '../words/words.ts';
import './cuts.css';

/** Why a number is what it is: one line, and behind it each term with where it came from. */
export function Explained(props: { explain: Explanation; exact?: string }) {
  const { explain } = props;
  const [open, setOpen] = useState(false);
  const id = useId();
  return (
    <div class="explained">
      <button
        type="button"
        class="explained-line number"
        aria-expanded={open}
        aria-controls={id}
        onClick={() => setOpen(!open)}
      >
        <span class="unseen">{t('explain.why')} </span>
        <Words>{explain.line}</Words>
      </button>
      <div id={id} class="explained-more" hidden={!open}>
        <dl class="terms">
          {explain.terms.map((term) => (
            <div key={`${term.label} ${term.text}`} class="term">
              <dt>
                {term.label}
                <span class="term-source">{term.source}</span>
              </dt>
              <dd class="number">
                <Words>{term.text}</Words>
              </dd>
            </div>
          ))}
          {props.exact !== undefined && (
            <div class="term">
              <dt>{t('explain.exact')}</dt>
              <dd class="number">{props.exact}</dd>
            </div>
          )}
        </dl>
        {explain.basis !== undefined && explain.basis !== '' && (
          <p class="quiet">
            <Words>{explain.basis}</Words>
          </p>
        )}
      </div>
    </div>
  );
}
