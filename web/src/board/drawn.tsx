import { useEffect, useState } from 'preact/hooks';
import { ask } from '../api/client.ts';
import { Refusal } from '../api/refusal.ts';
import type { components } from '../api/schema.ts';
import { Drawing } from '../parts/drawing.tsx';
import type { DrawingList } from '../parts/drawing-list.ts';
import { Finding } from '../parts/finding.tsx';
import { Words } from '../parts/fraction.tsx';
import { t } from '../words/words.ts';
import type { Draft } from './opening-spec.ts';

type Sheet = components['schemas']['Sheet'];

interface Looked {
  readonly sheet?: Sheet;
  /** Why nothing can be worked out from it, in the service's sentences. */
  readonly refused?: readonly string[];
  readonly away?: boolean;
}

const rest = 220;

/**
 * What the rule book makes of an opening as it is being set up: its own drawing of it, what the
 * sizes come to, and what it has to say. Nothing is kept by asking.
 */
export function Drawn({ draft }: { draft: Draft }) {
  const looked = useLook(draft);
  const { sheet } = looked;
  const said = (sheet?.findings ?? []).filter(({ code }) => code !== 'reading_missing');
  return (
    <section class="drawn" aria-label={t('opening.drawn')}>
      {sheet !== undefined && sheet.drawing.shapes !== null && (
        <div class="drawn-drawing">
          <Drawing list={sheet.drawing as unknown as DrawingList} />
        </div>
      )}
      {sheet !== undefined && sheet.values.length > 0 && (
        <dl class="drawn-values">
          {sheet.values.map((value) => (
            <div key={value.name}>
              <dt>{value.label}</dt>
              <dd class="number">
                <Words>{value.text}</Words>
              </dd>
            </div>
          ))}
        </dl>
      )}
      <div class="drawn-said" role="status">
        {looked.away && <p class="picks-hint">{t('opening.unseen')}</p>}
        {looked.refused?.map((sentence) => (
          <Finding key={sentence} severity="stop" sentence={sentence} />
        ))}
        {said.map((finding) => (
          <Finding
            key={`${finding.code}-${finding.about ?? ''}`}
            severity={finding.wanted ? 'note' : finding.severity}
            sentence={finding.sentence ?? ''}
            {...(finding.remedy === undefined ? {} : { remedy: finding.remedy })}
            {...(finding.basis === undefined ? {} : { basis: finding.basis })}
          />
        ))}
      </div>
    </section>
  );
}

function useLook({ spec }: Draft): Looked {
  const [looked, setLooked] = useState<Looked>({});
  const asked = JSON.stringify({
    unit: spec.unit,
    readings: {},
    ...(spec.casing_a === undefined ? {} : { casing_a: spec.casing_a }),
    ...(spec.casing_b === undefined ? {} : { casing_b: spec.casing_b }),
  });
  useEffect(() => {
    const stop = new AbortController();
    const timer = setTimeout(async () => {
      try {
        const sheet = await ask<Sheet>('/cut/door', {
          method: 'POST',
          body: JSON.parse(asked),
          signal: stop.signal,
        });
        if (!stop.signal.aborted) setLooked({ sheet });
      } catch (cause) {
        if (stop.signal.aborted) return;
        if (cause instanceof Refusal && !cause.passing) {
          const parts = cause.fields.map(({ what }) => what);
          setLooked({ refused: parts.length > 0 ? parts : [cause.sentence] });
        } else {
          setLooked((was) => ({ ...was, away: true }));
        }
      }
    }, rest);
    return () => {
      clearTimeout(timer);
      stop.abort();
    };
  }, [asked]);
  return looked;
}
