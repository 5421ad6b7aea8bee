import { useState } from 'preact/hooks';
import type { FindingView, ItemView, StageView } from '../api/views.ts';
import { act, isLocal, outbox, personName } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Field } from '../parts/field.tsx';
import { Finding } from '../parts/finding.tsx';
import { Sheet } from '../parts/sheet.tsx';
import { Tick } from '../parts/tick.tsx';
import { t } from '../words/words.ts';
import { places } from './places.ts';
import { SyncSign } from './sign.tsx';
import { wantsTaping, withWaiting } from './walk.ts';
import { when } from './when.ts';

/** The floor of the item's screen: back to the room, the stage at hand, its tick. */
export function ItemBar(props: {
  view: ItemView;
  stage: StageView;
  onDone: () => void;
  onTape: (reading: string) => void;
}) {
  const { view, stage } = props;
  const [asking, setAsking] = useState<'reopen' | 'held' | null>(null);
  const [busy, setBusy] = useState(false);
  const about = { job: view.job_id, item: view.id };
  const toTape =
    stage.stage === 'measured'
      ? withWaiting(view.readings, view.id, outbox.waiting.value, view.room_id).find(wantsTaping)
      : undefined;
  // The service's view does not show what it has not been sent; the device's own does.
  const ticked =
    !isLocal(view.job_id) &&
    outbox.waiting.value.some(
      ({ command }) => command.item_id === view.id && command.tick_stage?.stage === stage.stage,
    );

  const tick = async () => {
    if (busy || ticked) return;
    setBusy(true);
    const outcome = await act(
      'tick_stage',
      about,
      { stage: stage.stage },
      {
        said: t('said.tick', { item: view.name, stage: t(`stage.${stage.stage}`).toLowerCase() }),
      },
    );
    setBusy(false);
    if (outcome?.applied === true) props.onDone();
  };
  const press = () => {
    if (stage.status === 'done') setAsking('reopen');
    else if (stage.status === 'held') setAsking('held');
    else void tick();
  };

  return (
    <div class="item-bar">
      <a class="item-back" href={places.room(view.job_id, view.room_id)}>
        <span class="unseen">
          {t('action.back')}: {view.room_name}
        </span>
        <svg viewBox="0 0 20 20" aria-hidden="true">
          <path d="M13 3L6 10L13 17" />
        </svg>
      </a>
      {toTape !== undefined ? (
        <Button kind="main" wide onPress={() => props.onTape(toTape.name)}>
          {toTape.state === 'disagree'
            ? t('measure.settle', { reading: toTape.label })
            : t('measure.next', { reading: toTape.label })}
        </Button>
      ) : (
        <p class={`item-bar-words bar-${stage.status}`} role="status">
          <strong>{t(`stage.${stage.stage}`)}</strong>{' '}
          {busy ? t('sync.sending') : ticked ? t('bar.ticked') : barState(stage)}
        </p>
      )}
      <SyncSign />
      <Tick key={stage.stage} stage={stage.stage} state={stage.status} onPress={press} />
      {asking === 'reopen' && <Reopen view={view} stage={stage} onClose={() => setAsking(null)} />}
      {asking === 'held' && (
        <Sheet
          name={t('held.title', { stage: t(`stage.${stage.stage}`) })}
          nameShown
          modal
          onClose={() => setAsking(null)}
        >
          <div class="asking">
            {holding(stage).map((finding) => (
              <Finding key={finding.sentence} {...sayFinding(finding)} />
            ))}
            <Button kind="main" wide onPress={() => setAsking(null)}>
              {t('held.toWork')}
            </Button>
          </div>
        </Sheet>
      )}
    </div>
  );
}

function barState(stage: StageView): string {
  if (stage.status === 'done' && stage.done !== undefined) {
    return t('bar.done', { who: personName(stage.done.person_id), when: when(stage.done.at) });
  }
  const wanted = (stage.findings ?? []).filter(({ wanted }) => wanted === true).length;
  if ((stage.status === 'open' || stage.status === 'redone') && wanted > 0)
    return t('bar.wanted', { count: wanted });
  return t(`bar.${stage.status}`);
}

/** What stands against a stage now, the mistakes before what is only missing. */
export function holding(stage: StageView): readonly FindingView[] {
  return (stage.findings ?? []).filter(
    ({ severity, passed_by }) => severity === 'stop' && passed_by === undefined,
  );
}

export function sayFinding(finding: FindingView) {
  return {
    severity: finding.severity,
    sentence: finding.sentence ?? finding.code,
    ...(finding.remedy === undefined ? {} : { remedy: finding.remedy }),
    ...(finding.basis === undefined ? {} : { basis: finding.basis }),
  };
}

function Reopen(props: { view: ItemView; stage: StageView; onClose: () => void }) {
  const { view, stage } = props;
  const [reason, setReason] = useState('');
  const [missing, setMissing] = useState(false);
  const reopen = () => {
    if (reason.trim() === '') return setMissing(true);
    void act(
      'reopen_stage',
      { job: view.job_id, item: view.id },
      { stage: stage.stage, reason: reason.trim() },
      {
        said: t('said.reopen', { item: view.name, stage: t(`stage.${stage.stage}`).toLowerCase() }),
      },
    );
    props.onClose();
  };
  return (
    <Sheet
      name={t('reopen.title', { stage: t(`stage.${stage.stage}`) })}
      nameShown
      modal
      onClose={props.onClose}
    >
      <div class="asking">
        <p>{t('reopen.more')}</p>
        <Field
          label={t('reopen.why')}
          tall
          value={reason}
          onInput={setReason}
          hint={t('reopen.hint')}
          {...(missing && reason.trim() === '' ? { refused: t('reason.missing') } : {})}
        />
        <Button wide onPress={reopen}>
          {t('reopen.do')}
        </Button>
        <Button kind="main" wide onPress={props.onClose}>
          {t('reopen.leave')}
        </Button>
      </div>
    </Sheet>
  );
}
