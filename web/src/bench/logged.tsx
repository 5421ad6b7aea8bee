import { Words } from '../parts/fraction.tsx';
import { Findings, keyed } from './findings.tsx';
import type { PanelProps } from './panel.tsx';
import { TakeBack } from './take-back.tsx';
import { capital } from './taping.tsx';
import './logged.css';

export interface LoggedProps extends PanelProps {
  readonly entries: readonly {
    readonly command_id: string;
    readonly text: string;
    /** What it was done with. */
    readonly product?: string | undefined;
    /** What the rules make of it, and from what. */
    readonly worked?: string | undefined;
  }[];
}

/** What was logged at a stage, each with what the rules say of it and a way to take it back. */
export function Logged({ view, stage, entries }: LoggedProps) {
  if (entries.length === 0) return null;
  return (
    <ul class="logged">
      {entries.map((entry) => (
        <li key={entry.command_id} class="logged-entry">
          <div class="logged-row">
            <p class="logged-says">
              <Words>{capital(entry.text)}</Words>
              {entry.product !== undefined && entry.product !== '' && (
                <span class="quiet">{entry.product}</span>
              )}
              {entry.worked !== undefined && (
                <span class="quiet">
                  <Words>{entry.worked}</Words>
                </span>
              )}
            </p>
            <TakeBack
              job={view.job_id}
              item={view.id}
              itemName={view.name}
              entry={entry.command_id}
              says={entry.text}
            />
          </div>
          <Findings
            view={view}
            list={keyed(stage).filter(({ finding }) => finding.about === entry.command_id)}
          />
        </li>
      ))}
    </ul>
  );
}
