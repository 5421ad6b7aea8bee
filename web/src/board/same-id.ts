import { newId } from '../api/command.ts';

export interface SameId {
  /** The id for what is asked: the same as long as the same is asked. */
  of(asked: object): string;
  /** It was answered: whatever is asked next is another thing. */
  answered(): void;
}

/** Ids for what is pressed again when an answer was lost, so that the service does nothing twice. */
export function sameId(): SameId {
  let said = '';
  let id = '';
  return {
    of(asked) {
      const says = JSON.stringify(asked);
      if (says !== said) [said, id] = [says, newId()];
      return id;
    },
    answered() {
      said = '';
    },
  };
}
