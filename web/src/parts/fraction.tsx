import type { ComponentChildren } from 'preact';
import { splitFractions } from './split-fractions.ts';
import './fraction.css';

/**
 * One stacked fraction. Screen readers, copying and searching get "5/8"; the eye gets the stack.
 */
export function Fraction(props: { numerator: string; denominator: string }) {
  return (
    <span class="fraction">
      <span class="unseen">{`${props.numerator}/${props.denominator}`}</span>
      <span class="fraction-stack" aria-hidden="true">
        <span class="fraction-over">{props.numerator}</span>
        <span class="fraction-under">{props.denominator}</span>
      </span>
    </span>
  );
}

/** Any sentence, with every inch fraction in it set as a stack: "cut 79 5/8" and "6'-7 5/8". */
export function Words(props: { children: string }) {
  const parts: ComponentChildren[] = splitFractions(props.children).map((part) =>
    typeof part === 'string' ? (
      part
    ) : (
      <Fraction numerator={part.numerator} denominator={part.denominator} />
    ),
  );
  return <>{parts}</>;
}
