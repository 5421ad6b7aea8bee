import { useState } from 'preact/hooks';
import { print } from '../bench/printed.tsx';
import { Words } from '../parts/fraction.tsx';
import { Sheet } from '../parts/sheet.tsx';
import { Tape } from '../parts/tape.tsx';
import { rulebook } from '../rulebook/load.ts';
import type { Unit } from '../rulebook/rulebook.ts';
import { t } from '../words/words.ts';
import type { Nominal } from './opening-spec.ts';

export interface LengthChoiceProps {
  readonly label: string;
  readonly unit: Unit;
  /** Nanometers; nothing said is undefined. */
  readonly value: number | undefined;
  readonly sizes: readonly Nominal[];
  /** The first choice is to leave it unsaid, in these words. */
  readonly none?: string;
  readonly onChoose: (nm: number | undefined) => void;
}

/** A length to point at: the sizes that are stocked, and the tape for any other. */
export function LengthChoice(props: LengthChoiceProps) {
  const { label, unit, value, sizes, none, onChoose } = props;
  const [taping, setTaping] = useState(false);
  const other = value !== undefined && !sizes.some(({ nm }) => nm === value);
  const option = (text: string, chosen: boolean, choose: () => void) => (
    <button key={text} type="button" class="pick" aria-pressed={chosen} onClick={choose}>
      <Words>{text}</Words>
    </button>
  );
  const printed = other ? print(value, unit) : '';
  return (
    <fieldset class="picks">
      <legend class="picks-label">{label}</legend>
      <div class="picks-row">
        {none !== undefined && option(none, value === undefined, () => onChoose(undefined))}
        {sizes.map(({ label: text, nm }) => option(text, value === nm, () => onChoose(nm)))}
        {option(other && printed !== '' ? printed : t('opening.other'), other, () =>
          setTaping(true),
        )}
      </div>
      {taping && (
        <Sheet name={label} modal onClose={() => setTaping(false)}>
          <Tape
            label={label}
            unit={unit}
            initial={value ?? null}
            {...(printed === '' ? {} : { initialText: printed })}
            parse={(text) => rulebook().parseLength(text, unit)}
            onKeep={(nm) => {
              onChoose(nm);
              setTaping(false);
            }}
          />
        </Sheet>
      )}
    </fieldset>
  );
}
