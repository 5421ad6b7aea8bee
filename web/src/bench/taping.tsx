import { useRef, useState } from 'preact/hooks';
import type { ItemView, ReadingView } from '../api/views.ts';
import { act, outbox, personName } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Drawing } from '../parts/drawing.tsx';
import { Words } from '../parts/fraction.tsx';
import { Sheet, Worktop } from '../parts/sheet.tsx';
import { Tape } from '../parts/tape.tsx';
import { rulebook } from '../rulebook/load.ts';
import { t } from '../words/words.ts';
import { asList, isDrawn } from './as-list.ts';
import { TurnedBackHere } from './findings.tsx';
import { Gauge } from './gauge.tsx';
import { print } from './printed.tsx';
import { tool } from './tool.ts';
import { nextReading, withWaiting } from './walk.ts';
import { when } from './when.ts';
import './measure.css';

/** What taping needs of an item's view; a room's walls are taped with the same of the room. */
export type Taped = Pick<
  ItemView,
  'id' | 'job_id' | 'room_id' | 'name' | 'unit' | 'readings' | 'drawing' | 'findings'
>;

export interface TapingProps {
  readonly view: Taped;
  readonly reading: string;
  readonly onReading: (reading: string | null) => void;
}

/** The drawing above, the tape under the thumb, until the readings are in. */
export function Taping(props: TapingProps) {
  const { view, onReading } = props;
  const [kept, setKept] = useState<{ name: string; nm: number } | null>(null);
  // Kept here and not answered yet: the walk goes on without waiting for the signal.
  const [justKept, setJustKept] = useState<ReadonlySet<string>>(new Set());
  const [again, setAgain] = useState<string | null>(null);
  const walked = useRef(justKept);
  walked.current = justKept;
  const reading = view.readings.find(({ name }) => name === props.reading);
  if (reading === undefined) return null;

  const keep = (value: number, from: ReadingView) => {
    const now = new Set(walked.current).add(from.name);
    walked.current = now;
    setJustKept(now);
    void act(
      'take_reading',
      aboutOf(view, from),
      { reading: from.name, value, tool: from.angle ? 'gauge' : tool.value },
      {
        said: t('said.reading', { item: view.name, reading: from.label }),
        onKept: () => setKept({ name: from.name, nm: value }),
        ...(from.angle ? {} : { nm: Math.abs(value) }),
      },
    );
  };
  const left = withWaiting(view.readings, view.id, outbox.waiting.value, view.room_id).map(
    (each) =>
      walked.current.has(each.name) && each.state === 'missing'
        ? { ...each, state: 'taken' as const }
        : each,
  );
  const next = nextReading(left, reading.name);
  const last = kept === null ? undefined : view.readings.find(({ name }) => name === kept.name);
  const lastText = kept === null || last?.angle === true ? '' : print(Math.abs(kept.nm), view.unit);
  const settling = reading.state === 'disagree' && again !== reading.name;

  return (
    <Worktop>
      <div class="taping-drawing">
        <TurnedBackHere
          item={view.id}
          claims={({ kind }) => kind === 'take_reading' || kind === 'choose_take'}
        />
        {isDrawn(view.drawing) && (
          <Drawing
            list={asList(view.drawing)}
            fill
            selected={reading.name}
            focusOn={reading.name}
            onTouch={(key) => {
              if (view.readings.some(({ name }) => name === key)) onReading(key);
            }}
          />
        )}
      </div>
      <Sheet name={capital(reading.label)} nameShown={settling} onClose={() => onReading(null)}>
        {outbox.cutOff.value && <p class="taping-offline">{t('sync.keepsGoing')}</p>}
        {settling ? (
          <Settle
            view={view}
            reading={reading}
            onAgain={() => setAgain(reading.name)}
            onChosen={() => onReading(next)}
          />
        ) : reading.angle === true ? (
          <Gauge
            key={reading.name}
            label={capital(reading.label)}
            initial={reading.value ?? null}
            onKeep={(value) => {
              keep(value, reading);
              onReading(null);
            }}
          />
        ) : (
          <Tape
            key={`${reading.name} ${again === reading.name}`}
            label={capital(reading.label)}
            unit={view.unit}
            initial={again === reading.name ? null : (reading.value ?? null)}
            {...(reading.tape === undefined ? {} : { initialText: reading.tape.text })}
            {...(reading.signed
              ? { signed: { plus: reading.positive ?? '+', minus: reading.negative ?? '−' } }
              : {})}
            parse={(text) => rulebook().parseLength(text, view.unit)}
            onKeep={(nm) => {
              keep(nm, reading);
              if (next === null) onReading(null);
            }}
            {...(next === null ? {} : { onNext: () => onReading(next) })}
            {...(last !== undefined && lastText !== '' && last.name !== reading.name
              ? {
                  kept: {
                    label: capital(last.label),
                    text: lastText,
                    onChange: () => onReading(last.name),
                  },
                }
              : {})}
          />
        )}
      </Sheet>
    </Worktop>
  );
}

/** A wall's reading is the room's, whatever it was touched in. */
function aboutOf(view: Taped, reading: ReadingView) {
  return reading.of_room === true
    ? { job: view.job_id, room: view.room_id }
    : { job: view.job_id, item: view.id };
}

/** Takes that are too far apart: both stand, and a person says which is right or tapes again. */
function Settle(props: {
  view: Taped;
  reading: ReadingView;
  onAgain: () => void;
  onChosen: () => void;
}) {
  const { view, reading } = props;
  const about = (view.findings ?? []).find(
    (finding) => finding.about === reading.name && finding.severity === 'stop',
  );
  return (
    <div class="asking">
      {about !== undefined && (
        <p>
          <Words>{about.sentence ?? ''}</Words>
        </p>
      )}
      <ul class="takes">
        {(reading.takes ?? []).map((take) => (
          <li key={take.command_id} class="take">
            <span class="take-value number">
              <Words>{take.text}</Words>
            </span>
            <span class="quiet">
              {personName(take.person_id)}, {when(take.at)}
              {take.tool !== undefined &&
                take.tool !== '' &&
                `, ${t(`tool.${toolOf(take.tool)}`).toLocaleLowerCase()}`}
            </span>
            <Button
              name={`${t('take.choose')}: ${take.text}`}
              onPress={() => {
                void act(
                  'choose_take',
                  aboutOf(view, reading),
                  { reading: reading.name, take_id: take.command_id },
                  { said: t('said.choose', { item: view.name, reading: reading.label }) },
                );
                props.onChosen();
              }}
            >
              {t('take.choose')}
            </Button>
          </li>
        ))}
      </ul>
      <Button kind="main" wide onPress={props.onAgain}>
        {t('take.again')}
      </Button>
    </div>
  );
}

export function toolOf(tool: string): 'tape' | 'laser' | 'gauge' {
  return tool === 'laser' || tool === 'gauge' ? tool : 'tape';
}

export function capital(text: string): string {
  return text.charAt(0).toLocaleUpperCase() + text.slice(1);
}
