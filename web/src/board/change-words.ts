import { t } from '../words/words.ts';
import type { Change } from './changes.ts';
import { personName } from './people.ts';

/** What became of a thing, without its name: "hung done", "with Marco Delgado". */
export function changeWords(change: Change): string {
  if (change.what !== 'given') return t(`change.${change.what}`, { stage: change.stage ?? '' });
  const person = personName(change.person);
  return person === null ? t('change.takenBack') : t('change.given', { person });
}
