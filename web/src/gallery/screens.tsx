import { useState } from 'preact/hooks';
import { casingCorner, doorOpening } from '../../tests/fixtures/door-opening.ts';
import { Button } from '../parts/button.tsx';
import { Drawing } from '../parts/drawing.tsx';
import { Field } from '../parts/field.tsx';
import { Finding } from '../parts/finding.tsx';
import { Pole } from '../parts/pole.tsx';
import { TopBar } from '../parts/rail.tsx';
import { Sheet, Worktop } from '../parts/sheet.tsx';
import { Tape } from '../parts/tape.tsx';
import { t } from '../words/words.ts';
import { answers } from './answers.ts';
import { allStates } from './stages.ts';

/** The parts put together as a screen would, to judge them at arm's length and under a thumb. */
export const screens: Readonly<Record<string, () => preact.JSX.Element>> = {
  'tape-next': () => <Taping selected="height_strike" />,
  'tape-taken': () => <Taping selected="height_hinge" />,
  'tape-gap': () => <Taping selected="floor_rise" />,
  'tape-lean': () => <Taping selected="lean_hinge" />,
  'tape-mm': () => <Taping selected="width_bottom" unit="mm" />,
  opening: () => <Opening />,
  stages: () => <Stages />,
  sheet: () => <Asking />,
};

const initials: Readonly<Record<string, number>> = {
  height_hinge: 2_041_525_000,
  width_bottom: 762_000_000,
  width_middle: 763_587_500,
  width_top: 765_175_000,
  floor_rise: 3_175_000,
};

function Taping(props: { selected: string; unit?: 'in' | 'mm' }) {
  const [selected, setSelected] = useState<string | null>(props.selected);
  const shape = doorOpening.shapes.find(({ key }) => key === selected);
  const unit = props.unit ?? 'in';
  const lean = selected?.startsWith('lean') ?? false;
  return (
    <Worktop>
      <div class="taping-drawing">
        <Drawing
          list={doorOpening}
          fill
          onTouch={setSelected}
          {...(selected === null ? {} : { selected, focusOn: selected })}
        />
      </div>
      {selected !== null && (
        <Sheet name={shape?.name ?? ''} onClose={() => setSelected(null)}>
          <Tape
            key={selected}
            label={shape?.name ?? ''}
            hint={
              lean
                ? 'Plumb bob or level: how far the top is off, over the height.'
                : 'From the floor as it stands to the header.'
            }
            unit={unit}
            initial={initials[selected] ?? null}
            {...(lean ? { signed: { plus: 'Top leans in', minus: 'Top leans away' } } : {})}
            parse={(text) => answers.parseLength(text, unit)}
            onKeep={() => undefined}
            onNext={() => setSelected('diagonal')}
            {...(selected === 'height_strike'
              ? {
                  kept: {
                    label: 'Height, hinge side',
                    text: '80 3/8',
                    onChange: () => setSelected('height_hinge'),
                  },
                }
              : {})}
          />
        </Sheet>
      )}
    </Worktop>
  );
}

function Opening() {
  return (
    <main class="opening">
      <TopBar title="Bedroom 2 door" back={{ href: '#stages', label: 'Bedroom 2' }}>
        from the hall
      </TopBar>
      <Drawing list={doorOpening} onTouch={() => undefined} />
      <Drawing list={casingCorner} onTouch={() => undefined} />
    </main>
  );
}

function Asking() {
  const [open, setOpen] = useState(true);
  const [reason, setReason] = useState('');
  return (
    <main class="stages-screen">
      <TopBar title="Bedroom 2 door">{t('sync.unsent', { count: 3 })}</TopBar>
      <Pole stages={allStates} size="large" onStage={() => setOpen(true)} />
      {open && (
        <Sheet name="Open “Hung” again" nameShown modal onClose={() => setOpen(false)}>
          <div class="asking">
            <p>Cased and everything after it becomes work to redo. The log keeps both.</p>
            <Field
              label="Why"
              tall
              value={reason}
              onInput={setReason}
              hint="One sentence, for whoever does it again."
            />
            <Button kind="main" wide onPress={() => setOpen(false)}>
              Open it again
            </Button>
            <Button wide onPress={() => setOpen(false)}>
              Leave it done
            </Button>
          </div>
        </Sheet>
      )}
    </main>
  );
}

function Stages() {
  return (
    <main class="stages-screen">
      <TopBar title="Bedroom 2 door" />
      <Finding
        severity="stop"
        sentence="16-gauge holes can't be caulked: it shrinks and dimples."
        remedy="Fill and sand them."
        basis="Paint grade: 16 and 15 gauge, hand nails and screws take filler, sanded flush. Common practice; a house rule your lead can change."
      />
      <Pole stages={allStates} size="large" onStage={() => undefined} />
      <Button kind="main" wide onPress={() => undefined}>
        Done here, next item
      </Button>
    </main>
  );
}
