import { useState } from 'preact/hooks';
import { t } from '../words/words.ts';
import { Button } from './button.tsx';
import './link-code.css';

/** A link to be scanned, copied or read out: shown once, for only its hash is kept. */
export function LinkCode(props: { link: string; qr: readonly string[]; onDone: () => void }) {
  const [copied, setCopied] = useState(false);
  const side = props.qr.length;
  return (
    <>
      <svg
        class="link-code-qr"
        viewBox={`0 0 ${side} ${side}`}
        role="img"
        aria-label={t('link.qr')}
      >
        <rect width={side} height={side} fill="#fff" />
        <path
          fill="#000"
          d={props.qr
            .flatMap((row, y) =>
              [...row].flatMap((bit, x) => (bit === '1' ? [`M${x} ${y}h1v1h-1z`] : [])),
            )
            .join('')}
        />
      </svg>
      <p class="link-code-text">{props.link}</p>
      <div class="link-code-acts">
        <Button
          kind="main"
          onPress={() => {
            navigator.clipboard.writeText(props.link).then(
              () => setCopied(true),
              () => setCopied(false),
            );
          }}
        >
          {copied ? t('link.copied') : t('link.copy')}
        </Button>
        <Button onPress={props.onDone}>{t('link.done')}</Button>
      </div>
    </>
  );
}
