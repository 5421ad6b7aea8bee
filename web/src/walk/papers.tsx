import { useState } from 'preact/hooks';
import { Button } from '../parts/button.tsx';
import { t } from '../words/words.ts';
import { keyOf, language } from './visit.ts';

/** The homeowner's sheets to keep. They are asked for with the key, so they are no plain links. */
export function Papers({ signed }: { signed: boolean }) {
  const [lost, setLost] = useState(false);
  const get = async (name: 'punch-list' | 'record') => {
    setLost(false);
    try {
      const answer = await fetch(`/api/v1/walk/${name}.pdf?language=${language.value}`, {
        headers: { Authorization: `Bearer ${keyOf() ?? ''}` },
      });
      if (!answer.ok) throw new Error(`status ${answer.status}`);
      const address = URL.createObjectURL(await answer.blob());
      const link = document.createElement('a');
      link.href = address;
      link.download = `${name}.pdf`;
      link.click();
      setTimeout(() => URL.revokeObjectURL(address), 60_000);
    } catch {
      setLost(true);
    }
  };
  return (
    <section class="walk-papers" aria-labelledby="walk-papers">
      <h2 id="walk-papers">{t('walk.papers')}</h2>
      <div class="walk-photo-acts">
        <Button onPress={() => void get('punch-list')}>{t('paper.punch')}</Button>
        {signed && <Button onPress={() => void get('record')}>{t('paper.record')}</Button>}
      </div>
      {lost && (
        <p class="field-reason" role="alert">
          {t('walk.papers.lost')}
        </p>
      )}
    </section>
  );
}
