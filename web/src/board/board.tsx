import { Notice } from '../parts/notice.tsx';
import { TopBar } from '../parts/rail.tsx';
import { t } from '../words/words.ts';

/** The lead's start: what there is before any job has rooms. */
export function Board() {
  return (
    <>
      <TopBar title={t('board.title')} />
      <main>
        <Notice kind="empty" sentence={t('board.empty')} more={t('board.empty.more')} />
      </main>
    </>
  );
}
