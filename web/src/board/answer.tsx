import { outbox } from '../live/store.ts';
import { Finding } from '../parts/finding.tsx';
import { Notice } from '../parts/notice.tsx';
import { t } from '../words/words.ts';
import type { Doing } from './doing.ts';

export type AnswerState = Doing | null;

/** What came of what was just done, said where it was done. Nothing when it simply went through. */
export function Answer({ answer }: { answer: AnswerState }) {
  if (answer === null) return null;
  if (answer.came === 'kept') {
    // Gone as soon as it has been sent: what came of it then shows where it belongs.
    if (outbox.waiting.value.length === 0) return null;
    return <Notice kind="offline" slim sentence={t('board.kept')} more={t('board.kept.more')} />;
  }
  if (answer.findings.length === 0) return null;
  return (
    <div role="alert" class="answer">
      {answer.came === 'refused' && <p class="answer-refused">{t('board.refused')}</p>}
      {answer.findings.map((finding) => (
        <Finding
          key={`${finding.code}-${finding.about ?? ''}`}
          severity={finding.severity}
          sentence={finding.sentence ?? ''}
          {...(finding.remedy === undefined ? {} : { remedy: finding.remedy })}
          {...(finding.basis === undefined ? {} : { basis: finding.basis })}
        />
      ))}
    </div>
  );
}
