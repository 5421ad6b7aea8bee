import { useState } from 'preact/hooks';
import type { CheckView, ItemView, LineView, StageView } from '../api/views.ts';
import { act } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Words } from '../parts/fraction.tsx';
import { t } from '../words/words.ts';
import { Findings, keyed, TurnedBackHere } from './findings.tsx';
import type { PanelProps } from './panel.tsx';
import { Printed } from './printed.tsx';
import { TapeSheet } from './tape-sheet.tsx';
import { capital } from './taping.tsx';
import './lines.css';

/** Gaps and reveals along each line: as wanted with one tap, else taped at narrowest and widest. */
export function Lines(props: PanelProps) {
  const { view, stage } = props;
  const [asking, setAsking] = useState<{ line: LineView; narrow: number | null } | null>(null);
  const lines = (view.lines ?? []).filter((line) => line.stage === stage.stage);
  if (lines.length === 0) return null;
  const unread = lines.filter(({ read }) => read === undefined);

  const read = (line: LineView, narrow: number, wide: number) =>
    void act(
      'read_gap',
      { job: view.job_id, item: view.id },
      { line: line.line as Gapline, narrow, wide },
      { said: t('said.gap', { item: view.name, line: line.label }), nm: narrow },
    );

  return (
    <div class="lines">
      <TurnedBackHere item={view.id} claims={({ kind }) => kind === 'read_gap'} />
      <ul class="line-list">
        {lines.map((line) => (
          <OneLine
            key={line.line}
            view={view}
            stage={stage}
            line={line}
            onWanted={() => read(line, line.target, line.target)}
            onTape={() => setAsking({ line, narrow: null })}
          />
        ))}
      </ul>
      {unread.length > 1 && (
        <Button
          kind="line"
          wide
          onPress={() => {
            for (const line of unread) read(line, line.target, line.target);
          }}
        >
          {t('lines.all', { count: unread.length })}
        </Button>
      )}
      {asking !== null && (
        <TapeSheet
          unit={view.unit}
          onClose={() => setAsking(null)}
          ask={{
            id: `${asking.line.line} ${asking.narrow === null}`,
            label: t(asking.narrow === null ? 'lines.narrow' : 'lines.wide', {
              line: asking.line.label,
            }),
            hint: t('lines.hint', { target: asking.line.target_text }),
            initial: null,
            onKeep: (nm) => {
              if (asking.narrow === null) {
                setAsking({ ...asking, narrow: nm });
                return;
              }
              // Taped in the wrong order, it is still a narrow end and a wide one.
              read(asking.line, Math.min(asking.narrow, nm), Math.max(asking.narrow, nm));
              setAsking(null);
            },
          }}
        />
      )}
    </div>
  );
}

type Gapline = 'hinge' | 'head' | 'strike' | 'casing_a' | 'casing_b';

function OneLine(props: {
  view: ItemView;
  stage: StageView;
  line: LineView;
  onWanted: () => void;
  onTape: () => void;
}) {
  const { view, line } = props;
  const { read } = line;
  const mine = keyed(props.stage).filter(
    ({ finding }) => finding.about === `line_${line.line}` && finding.wanted !== true,
  );
  return (
    <li class="gap-line">
      <p class="gap-line-name">
        {capital(line.label)}
        <span class="quiet">
          {t('lines.wanted')}{' '}
          <span class="number">
            <Words>{line.target_text}</Words>
          </span>
        </span>
      </p>
      {read !== undefined && (
        <p class="gap-line-read number">
          <Printed nm={read.narrow} unit={view.unit} />
          {read.wide !== read.narrow && (
            <>
              {' '}
              {t('lines.to')} <Printed nm={read.wide} unit={view.unit} />
            </>
          )}
        </p>
      )}
      <Findings view={view} list={mine} />
      <div class="gap-line-acts">
        {read === undefined && <Button onPress={props.onWanted}>{t('lines.asWanted')}</Button>}
        <Button kind={read === undefined ? 'line' : 'quiet'} onPress={props.onTape}>
          {read === undefined ? t('lines.tape') : t('action.change')}
        </Button>
      </div>
    </li>
  );
}

/** An installer's own eyes: yes or no. */
export function Checks(props: PanelProps) {
  const { view, stage } = props;
  const checks = view.checks ?? [];
  if (checks.length === 0) return null;
  const answer = (check: CheckView, yes: boolean) =>
    void act(
      'answer_check',
      { job: view.job_id, item: view.id },
      { check: check.check as Check, yes },
      { said: t('said.check', { item: view.name, check: check.label }) },
    );
  return (
    <ul class="checks">
      {checks.map((check) => (
        <li key={check.check} class="check">
          <Choice
            label={capital(check.label)}
            labelShown
            value={check.answer === undefined ? null : check.answer.yes ? 'yes' : 'no'}
            options={[
              { value: 'yes', label: t('answer.yes') },
              { value: 'no', label: t('answer.no') },
            ]}
            onChoose={(value) => answer(check, value === 'yes')}
          />
          <Findings
            view={view}
            list={keyed(stage).filter(
              ({ finding }) => finding.about === `check_${check.check}` && finding.wanted !== true,
            )}
          />
        </li>
      ))}
    </ul>
  );
}

type Check = 'stop_off' | 'plumb' | 'closes_on_stop' | 'no_see_through' | 'runs_free';
