import { pathname } from '../router.ts';
import { t } from '../words/words.ts';
import { Notice } from './notice.tsx';

/** In a screen's place where its file is not on the device and not to be had. */
export function NotLoaded() {
  return (
    <main>
      <Notice kind="offline" sentence={t('app.notLoaded')} more={t('app.notLoaded.more')}>
        <a href={pathname.value} target="_self">
          {t('action.tryAgain')}
        </a>
      </Notice>
    </main>
  );
}
