import type { ItemView, StageView } from '../api/views.ts';
import { Words } from '../parts/fraction.tsx';
import { t } from '../words/words.ts';
import { Caulk } from './caulk.tsx';
import { Coats } from './coats.tsx';
import { Cuts } from './cuts.tsx';
import { Fills } from './fills.tsx';
import { Findings, keyed, mistakes, TurnedBackHere } from './findings.tsx';
import { Checks, Lines } from './lines.tsx';
import { Measure } from './measure.tsx';
import { More } from './more.tsx';
import { Nails } from './nails.tsx';
import { WaitingHere } from './waiting-here.tsx';
import './panel.css';

export interface PanelProps {
  readonly view: ItemView;
  readonly stage: StageView;
}

/** One stage opened: why it is held, the work itself, what to be careful of, and what is behind it. */
export function StagePanel(props: PanelProps & { onTape: (reading: string) => void }) {
  const { view, stage } = props;
  const places = new Set(subjects(view, stage));
  const general = mistakes(keyed(stage)).filter(
    ({ finding }) => finding.about === undefined || !places.has(finding.about),
  );
  const atHand = view.next?.stage === stage.stage;
  return (
    <section class={`panel panel-${stage.stage}`} aria-labelledby={`panel-${stage.stage}`}>
      <h2 class="unseen" id={`panel-${stage.stage}`}>
        {t(`stage.${stage.stage}`)}: {t(`state.${stage.status}`)}
      </h2>
      {atHand && stage.status !== 'held' && view.next !== undefined && (
        <p class="panel-next">
          <Words>{view.next.sentence}</Words>
        </p>
      )}
      {stage.status === 'redone' && stage.done?.reason !== undefined && (
        <p class="panel-next">{t('reopen.because', { reason: stage.done.reason })}</p>
      )}
      <WaitingHere item={view.id} />
      <TurnedBackHere item={view.id} claims={({ kind }) => !elsewhere.has(kind)} />
      <Findings view={view} list={general.filter(({ finding }) => finding.severity !== 'note')} />
      <Work {...props} />
      <Findings view={view} list={general.filter(({ finding }) => finding.severity === 'note')} />
      <Cautions view={view} stage={stage} />
      <More view={view} />
    </section>
  );
}

// Kinds whose refusals are shown right where they were tried, in their own stage's panel.
const elsewhere = new Set([
  'treat_holes',
  'sand',
  'read_gap',
  'log_fasteners',
  'log_gap',
  'log_coat',
]);

/** What of the stage has its own place in the panel, where findings about it are shown. */
function subjects(view: ItemView, stage: StageView): string[] {
  switch (stage.stage) {
    case 'trimmed':
    case 'cased':
      return [
        ...view.cuts.filter((cut) => cut.stage === stage.stage).map(({ piece }) => piece),
        ...(view.lines ?? []).map(({ line }) => `line_${line}`),
      ];
    case 'hung':
      return [
        ...(view.lines ?? []).map(({ line }) => `line_${line}`),
        ...(view.checks ?? []).map(({ check }) => `check_${check}`),
      ];
    case 'nailed':
      return (view.fasteners ?? []).map(({ command_id }) => command_id);
    case 'caulked':
      return (view.wall_gaps ?? []).map(({ command_id }) => command_id);
    default:
      return [];
  }
}

function Work(props: PanelProps & { onTape: (reading: string) => void }) {
  const { view, stage } = props;
  switch (stage.stage) {
    case 'measured':
      return <Measure view={view} stage={stage} onTape={props.onTape} />;
    case 'trimmed':
      return <Cuts view={view} stage={stage} onTape={props.onTape} />;
    case 'hung':
      return (
        <>
          <Lines view={view} stage={stage} />
          <Checks view={view} stage={stage} />
        </>
      );
    case 'cased':
      return (
        <>
          <Cuts view={view} stage={stage} onTape={props.onTape} />
          <Lines view={view} stage={stage} />
        </>
      );
    case 'nailed':
      return <Nails view={view} stage={stage} />;
    case 'filled':
      return <Fills view={view} stage={stage} />;
    case 'caulked':
      return <Caulk view={view} stage={stage} />;
    case 'painted':
      return <Coats view={view} stage={stage} />;
  }
}

/** The view's cautions belong to the stage at hand, so they stand where that stage is opened. */
function Cautions(props: PanelProps) {
  const { view, stage } = props;
  const cautions = view.cautions ?? [];
  if (cautions.length === 0 || (view.next !== undefined && view.next.stage !== stage.stage)) {
    return null;
  }
  return (
    <aside class="cautions" aria-label={t('cautions.title')}>
      <h3>{t('cautions.title')}</h3>
      <ul>
        {cautions.map((caution) => (
          <li key={caution}>
            <Words>{caution}</Words>
          </li>
        ))}
      </ul>
    </aside>
  );
}
