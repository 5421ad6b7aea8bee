import { useState } from 'preact/hooks';
import type { FindingView, ItemView, StageView } from '../api/views.ts';
import { act, personName, putAway, refusals } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Field } from '../parts/field.tsx';
import { Finding } from '../parts/finding.tsx';
import { Words } from '../parts/fraction.tsx';
import { Sheet } from '../parts/sheet.tsx';
import { leads, me } from '../sign-in/session.ts';
import { t } from '../words/words.ts';
import { sayFinding } from './item-bar.tsx';
import { when } from './when.ts';

export interface Keyed {
  readonly finding: FindingView;
  readonly key: string;
}

/** A stage's findings with the key each is passed by. */
export function keyed(stage: StageView): readonly Keyed[] {
  return (stage.findings ?? []).map((finding, at) => ({
    finding,
    key: stage.keys?.[at] ?? '',
  }));
}

/** Those a person can act on: not what is merely still to be entered. */
export function mistakes(list: readonly Keyed[]): readonly Keyed[] {
  return list.filter(({ finding }) => finding.wanted !== true);
}

export function Findings(props: { view: ItemView; list: readonly Keyed[] }) {
  if (props.list.length === 0) return null;
  return (
    <div class="findings">
      {props.list.map(({ finding, key }) => (
        <OneFinding key={key} view={props.view} finding={finding} passKey={key} />
      ))}
    </div>
  );
}

function OneFinding(props: { view: ItemView; finding: FindingView; passKey: string }) {
  const { view, finding } = props;
  const [passing, setPassing] = useState(false);
  if (finding.passed_by !== undefined) {
    return (
      <div class="finding-passed">
        <p>
          <Words>{finding.sentence ?? finding.code}</Words>
        </p>
        <p class="quiet">
          {t('pass.by', { who: personName(finding.passed_by) })}{' '}
          <Words>{finding.passed_as ?? ''}</Words>
        </p>
      </div>
    );
  }
  const passable =
    finding.severity === 'stop' && finding.wanted !== true && finding.clears_at === undefined;
  return (
    <div>
      <Finding {...sayFinding(finding)} />
      {finding.clears_at !== undefined && (
        <p class="finding-clears">{t('next.clears', { time: when(finding.clears_at) })}</p>
      )}
      {passable && (
        <div class="finding-acts">
          {leads(me()) ? (
            <Button kind="quiet" onPress={() => setPassing(true)}>
              {t('pass.do')}
            </Button>
          ) : (
            <AskLead view={view} finding={finding} />
          )}
        </div>
      )}
      {passing && (
        <Pass
          view={view}
          finding={finding}
          passKey={props.passKey}
          onClose={() => setPassing(false)}
        />
      )}
    </div>
  );
}

/** Puts the question into the item's log, where the lead finds it. */
function AskLead(props: { view: ItemView; finding: FindingView }) {
  const { view, finding } = props;
  const [asked, setAsked] = useState(false);
  if (asked) {
    return (
      <p class="quiet" role="status">
        {t('ask.asked')}
      </p>
    );
  }
  return (
    <Button
      kind="quiet"
      onPress={() => {
        setAsked(true);
        void act(
          'note',
          { job: view.job_id, item: view.id },
          { text: t('ask.note', { sentence: finding.sentence ?? finding.code }).slice(0, 1000) },
          { said: t('said.ask', { item: view.name }) },
        );
      }}
    >
      {t('ask.do')}
    </Button>
  );
}

function Pass(props: {
  view: ItemView;
  finding: FindingView;
  passKey: string;
  onClose: () => void;
}) {
  const { view, finding } = props;
  const [reason, setReason] = useState('');
  const [missing, setMissing] = useState(false);
  const pass = () => {
    if (reason.trim() === '') return setMissing(true);
    void act(
      'pass_stop',
      { job: view.job_id, item: view.id },
      { key: props.passKey, reason: reason.trim() },
      { said: t('said.pass', { item: view.name }) },
    );
    props.onClose();
  };
  return (
    <Sheet name={t('pass.title')} nameShown modal onClose={props.onClose}>
      <div class="asking">
        <Finding {...sayFinding(finding)} />
        {finding.safety === true && <p class="asking-safety">{t('pass.safety')}</p>}
        <Field
          label={t('pass.why')}
          tall
          value={reason}
          onInput={setReason}
          hint={t('pass.hint')}
          {...(missing && reason.trim() === '' ? { refused: t('reason.missing') } : {})}
        />
        <Button wide onPress={pass}>
          {t('pass.do')}
        </Button>
        <Button kind="main" wide onPress={props.onClose}>
          {t('pass.leave')}
        </Button>
      </div>
    </Sheet>
  );
}

/**
 * What the rules turned back just now, with their reason, where it was tried. `about` narrows it to
 * one place on the screen; without it, all that no place has claimed.
 */
export function TurnedBackHere(props: {
  item: string;
  claims: (command: { kind: string } & Record<string, unknown>) => boolean;
}) {
  const here = refusals.value.filter(
    ({ command }) =>
      command.item_id === props.item &&
      props.claims(command as unknown as { kind: string } & Record<string, unknown>),
  );
  if (here.length === 0) return null;
  return (
    <div class="findings" role="alert">
      {here.slice(0, 3).map(({ command, findings }) => (
        <div key={command.id}>
          {findings.map((finding) => (
            <Finding key={finding.code} {...sayFinding(finding)} />
          ))}
          <p class="refused-kept quiet">{t('refused.kept')}</p>
          <div class="finding-acts">
            <Button kind="quiet" onPress={() => putAway(command.id)}>
              {t('refused.seen')}
            </Button>
          </div>
        </div>
      ))}
    </div>
  );
}
