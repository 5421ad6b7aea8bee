import type { EntryView } from '../api/views.ts';
import type { Entry } from '../rulebook/jobs.ts';
import { t } from '../words/words.ts';

/** The rule book knows nobody by name: whom work was given to is said here. */
export function namedLog(
  views: readonly EntryView[],
  entries: readonly Entry[],
  nameOf: (person: string) => string,
): EntryView[] {
  return views.map((view, at) => {
    const name = nameOf(entries[at]?.command.assign?.person_id ?? '');
    return name === '' ? view : { ...view, sentence: t('log.assigned', { name }) };
  });
}
