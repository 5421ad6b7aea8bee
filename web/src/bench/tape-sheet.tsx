import { Sheet } from '../parts/sheet.tsx';
import { Tape } from '../parts/tape.tsx';
import { rulebook } from '../rulebook/load.ts';
import type { Unit } from '../rulebook/rulebook.ts';

export interface TapeAsk {
  /** Starts a clean tape for each question of a row. */
  readonly id: string;
  readonly label: string;
  readonly hint?: string;
  readonly initial: number | null;
  readonly initialText?: string;
  readonly onKeep: (nm: number) => void;
}

/** The tape over a stage's panel, for what is not a dimension of the drawing. */
export function TapeSheet(props: { ask: TapeAsk; unit: Unit; onClose: () => void }) {
  const { ask, unit } = props;
  return (
    <Sheet name={ask.label} modal onClose={props.onClose}>
      <Tape
        key={ask.id}
        label={ask.label}
        {...(ask.hint === undefined ? {} : { hint: ask.hint })}
        unit={unit}
        initial={ask.initial}
        {...(ask.initialText === undefined ? {} : { initialText: ask.initialText })}
        parse={(text) => rulebook().parseLength(text, unit)}
        onKeep={ask.onKeep}
      />
    </Sheet>
  );
}
