import { useState } from 'preact/hooks';
import type { ItemView } from '../api/views.ts';
import { act } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Finding } from '../parts/finding.tsx';
import { Words } from '../parts/fraction.tsx';
import { t } from '../words/words.ts';
import './remarks.css';

type Remark = NonNullable<ItemView['remarks']>[number];

/** What the homeowner pointed out here, while it is work: seen before anything else on the item. */
export function Remarks({ view }: { view: ItemView }) {
  const work = (view.remarks ?? []).filter(({ state }) => state === 'agreed');
  if (work.length === 0) return null;
  return (
    <section class="remarks" aria-labelledby="remarks">
      <h2 id="remarks">{t('remarks.title', { count: work.length })}</h2>
      <ul>
        {work.map((remark) => (
          <One key={remark.id} view={view} remark={remark} />
        ))}
      </ul>
    </section>
  );
}

function One({ view, remark }: { view: ItemView; remark: Remark }) {
  const [refused, setRefused] = useState<{ sentence: string; remedy: string } | null>(null);
  const again = view.stages.find(({ stage }) => stage === remark.stage);
  const fixed = async () => {
    const came = await act(
      'move_remark',
      { job: view.job_id, item: view.id, walk: remark.walk_id },
      { remark_id: remark.id, act: 'fix' },
      { said: t('remarks.said', { what: remark.sentence }) },
    );
    const why = came?.applied === false ? came.findings?.[0] : undefined;
    setRefused(
      why === undefined ? null : { sentence: why.sentence ?? '', remedy: why.remedy ?? '' },
    );
  };
  return (
    <li class="remark">
      <p class="remark-said">
        <Words>{remark.sentence}</Words>
      </p>
      {again !== undefined && again.status !== 'done' && (
        <p class="remark-how">{t('remarks.again', { stage: again.label })}</p>
      )}
      {refused !== null && (
        <Finding severity="stop" sentence={refused.sentence} remedy={refused.remedy} />
      )}
      <Button onPress={() => void fixed()}>{t('remarks.fixed')}</Button>
    </li>
  );
}
