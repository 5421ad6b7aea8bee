import type { ComponentChildren } from 'preact';
import { splitFractions } from './split-fractions.ts';
import './fraction.css';

/**
 * One stacked fraction, with the whole number it belongs to. Screen readers, copying and searching
 * get "79 5/8"; the eye gets the stack.
 */
export function Fraction(props: { whole?: string; numerator: string; denominator: string }) {
  const { whole = '', numerator, denominator } = props;
  return (
    <span class={whole === '' ? 'fraction' : 'fraction fraction-mixed'}>
      {whole !== '' && `${whole}\u00a0`}
      <span class="unseen">{`${numerator}/${denominator}`}</span>
      <span class="fraction-stack" aria-hidden="true">
        <span class="fraction-over">{numerator}</span>
        <span class="fraction-under">{denominator}</span>
      </span>
    </span>
  );
}

/** Any sentence, with every inch fraction in it set as a stack: "cut 79 5/8" and "6'-7 5/8". */
export function Words(props: { children: string }) {
  const parts: ComponentChildren[] = splitFractions(props.children).map((part) =>
    typeof part === 'string' ? part : <Fraction {...part} />,
  );
  return <>{parts}</>;
}
