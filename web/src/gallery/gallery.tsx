import type { ComponentChildren } from 'preact';
import { useState } from 'preact/hooks';
import { demoDrawings } from '../../tests/fixtures/demo-drawings.ts';
import { casingCorner, doorOpening } from '../../tests/fixtures/door-opening.ts';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Drawing } from '../parts/drawing.tsx';
import { Field } from '../parts/field.tsx';
import { Finding } from '../parts/finding.tsx';
import { Words } from '../parts/fraction.tsx';
import { Notice } from '../parts/notice.tsx';
import { Pole } from '../parts/pole.tsx';
import { Rail } from '../parts/rail.tsx';
import type { StageState } from '../parts/stages.ts';
import { Tape } from '../parts/tape.tsx';
import { Tick } from '../parts/tick.tsx';
import { chooseTheme, chosenTheme, type Theme } from '../theme.ts';
import { answers } from './answers.ts';
import { screens } from './screens.tsx';
import { allStates, finished, untouched, upTo, wallRun } from './stages.ts';

const nothing = () => undefined;

function Shelf(props: { name: string; children: ComponentChildren }) {
  return (
    <section class="shelf">
      <h2 class="shelf-name">{props.name}</h2>
      {props.children}
    </section>
  );
}

export function Gallery() {
  const [theme, setTheme] = useState<Theme>(chosenTheme());
  const [side, setSide] = useState<'hinge' | 'strike' | null>('hinge');
  const [text, setText] = useState('Bedroom 2');
  const [touched, setTouched] = useState<string | null>(null);
  return (
    <main class="gallery">
      <h1>Parts</h1>
      <Choice
        label="Light"
        value={theme}
        options={[
          { value: 'system', label: 'As the phone' },
          { value: 'light', label: 'Day' },
          { value: 'dark', label: 'Work light' },
        ]}
        onChoose={(value) => {
          chooseTheme(value);
          setTheme(value);
        }}
      />
      <ul class="screen-list">
        {Object.keys(screens).map((name) => (
          <li key={name}>
            <a href={`#${name}`}>{name}</a>
          </li>
        ))}
      </ul>

      <Shelf name="Words and fractions">
        <p class="type-reading number">
          <Words>{'79 5/8'}</Words>
        </p>
        <p class="type-number number">
          <Words>{'6\' 7 5/8" · 80 11/16 · 3/32 · 0 · 114 1/2'}</Words>
        </p>
        <p>
          <Words>
            Cut both legs 79 5/8, the head 36 with a set-back mark 3 3/4 from each end; hinge gap
            1/8. On 11/25/2026 2/3 of the rooms were cased.
          </Words>
        </p>
        <p lang="es">
          <Words>
            Corte la jamba a 79 5/8 y deje 1/8 de holgura; el zócalo y la moldura, después. ¿Listo,
            Íñigo?
          </Words>
        </p>
      </Shelf>

      <Shelf name="Poles">
        <div class="pole-pair">
          <Pole stages={allStates} size="large" of="Bedroom 2 door" onStage={nothing} />
          <Pole stages={wallRun} size="large" of="Bedroom 2, east wall" onStage={nothing} />
        </div>
        <div class="pole-row-show">
          {[
            untouched,
            upTo(2, 'ready'),
            upTo(3, 'held'),
            allStates,
            upTo(6, 'ready'),
            finished,
            wallRun,
          ].map((stages, at) => (
            <Pole key={at.toString()} stages={stages} size="medium" of={`Item ${at + 1}`} />
          ))}
        </div>
        <div class="pole-row-show">
          {[
            untouched,
            upTo(2, 'ready'),
            upTo(3, 'held'),
            allStates,
            upTo(6, 'ready'),
            finished,
            wallRun,
          ].map((stages, at) => (
            <Pole key={at.toString()} stages={stages} size="tiny" of={`Opening ${at + 1}`} />
          ))}
        </div>
        <div class="pole-row-show">
          {(['ready', 'done', 'held', 'redone', 'open'] as const).map((state: StageState) => (
            <Tick key={state} stage="cased" state={state} onPress={nothing} />
          ))}
        </div>
      </Shelf>

      <Shelf name="Findings">
        <Finding
          severity="stop"
          sentence="16-gauge holes can't be caulked: it shrinks and dimples."
          remedy="Fill and sand them."
          basis="Paint grade: 16 and 15 gauge, hand nails and screws take filler, sanded flush. Common practice."
        />
        <Finding
          severity="warn"
          sentence="Casing nail finds only 11/16 of stud on the strike side."
          remedy="Use 2 1/2 nails, or fur out the stud."
          basis="Bearing on the stud = reveal + casing width − jamb − shim space. Under 3/4 warns, under 1/2 stops."
        />
        <Finding
          severity="note"
          sentence="The jamb is 1/8 proud of the wall on the hall side."
          basis="Jamb width 4 11/16, wall build-up 4 9/16."
        />
      </Shelf>

      <Shelf name="The drawing">
        <div class="drawing-pair">
          <Drawing
            list={doorOpening}
            onTouch={setTouched}
            {...(touched === null ? {} : { selected: touched })}
          />
          <Drawing list={casingCorner} onTouch={nothing} />
        </div>
      </Shelf>

      <Shelf name="The demonstration's openings and pieces">
        <div class="drawing-pair">
          {demoDrawings.map(({ of, about, list }) => (
            <section key={about}>
              <h3>{about}</h3>
              <Drawing
                list={list}
                pieces={of !== 'opening'}
                {...(of === 'piece' ? {} : { onTouch: nothing })}
              />
            </section>
          ))}
        </div>
      </Shelf>

      <Shelf name="The tape">
        <div class="tape-pair">
          <TapeShow label="Height, hinge side" initial={2_022_475_000} />
          <TapeShow label="Width, top" initial={null} />
          <TapeShow label="Lean, hinge side" initial={-6_350_000} lean />
          <TapeShow label="Width, middle" initial={763_500_000} unit="mm" />
        </div>
      </Shelf>

      <Shelf name="Buttons, choice, field">
        <div class="row">
          <Button kind="main" onPress={nothing}>
            Set it and go on
          </Button>
          <Button onPress={nothing}>Add a photo</Button>
          <Button kind="quiet" onPress={nothing}>
            Change
          </Button>
          <Button disabled onPress={nothing}>
            Not yet
          </Button>
          <Button pressed onPress={nothing}>
            Show cuts
          </Button>
        </div>
        <Choice
          label="Side"
          labelShown
          value={side}
          options={[
            { value: 'hinge', label: 'Hinge side' },
            { value: 'strike', label: 'Strike side' },
          ]}
          onChoose={setSide}
        />
        <Field label="Room" value={text} onInput={setText} hint="As it is called in the house." />
        <Field
          label="Email"
          type="email"
          value="dana@"
          onInput={nothing}
          refused="That address is cut short. Write it whole, with what follows the @."
        />
      </Shelf>

      <Shelf name="Notices">
        <div class="notice-pair">
          <Notice
            kind="empty"
            sentence="No rooms on this phone yet."
            more="The lead gives out rooms. Yours will be here, and stay here without a signal."
          />
          <Notice
            kind="waiting"
            sentence="3 entries not sent."
            more="They are kept on this phone and go out with the next signal."
          >
            <Button onPress={nothing}>Send now</Button>
          </Notice>
          <Notice
            kind="offline"
            sentence="No signal down here."
            more="Everything you enter is kept. The board catches up later."
          />
          <Notice
            kind="refused"
            sentence="This cut wasn't taken: the readings changed after it was made."
            more="Measure the strike side again, then cut."
          >
            <Button kind="main" onPress={nothing}>
              Open the reading
            </Button>
            <Button onPress={nothing}>Keep it aside</Button>
          </Notice>
          <Notice
            kind="gone"
            sentence="This opening was taken off the job."
            more="Dana removed it on Monday. Its log is kept."
          >
            <a href="#stages">See its log</a>
          </Notice>
        </div>
        <Notice
          slim
          kind="offline"
          sentence="No signal down here."
          more="2 entries wait to be sent."
        />
      </Shelf>

      <Shelf name="Places">
        <div class="rail-show">
          <Rail
            label="Places"
            places={[
              { href: '#a', label: 'Today', here: true },
              { href: '#b', label: 'Rooms', here: false },
              { href: '#c', label: 'Truck', here: false },
            ]}
          />
        </div>
      </Shelf>
    </main>
  );
}

function TapeShow(props: {
  label: string;
  initial: number | null;
  unit?: 'in' | 'mm';
  lean?: boolean;
}) {
  const unit = props.unit ?? 'in';
  return (
    <div class="tape-frame">
      <Tape
        label={props.label}
        hint="Hook on the floor, read at the header."
        unit={unit}
        initial={props.initial}
        {...(props.lean ? { signed: { plus: 'Top leans in', minus: 'Top leans away' } } : {})}
        parse={(typed) => answers.parseLength(typed, unit)}
        onKeep={nothing}
        onNext={nothing}
      />
    </div>
  );
}
