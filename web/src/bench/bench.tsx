import { Notice } from '../parts/notice.tsx';
import { TopBar } from '../parts/rail.tsx';
import { t } from '../words/words.ts';

/** The installer's start: what there is before any room has been given out. */
export function Bench() {
  return (
    <>
      <TopBar title={t('bench.title')} />
      <main>
        <Notice kind="empty" sentence={t('bench.empty')} more={t('bench.empty.more')} />
      </main>
    </>
  );
}
