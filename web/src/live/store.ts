import { effect, untracked } from '@preact/signals';
import { clockOff } from '../api/clock.ts';
import { holdWhile } from '../shell/quiet.ts';
import { makeWay, session } from '../sign-in/session.ts';
import { isLocal, outbox, replica } from './local.ts';
import { begins, forgetViews, whoIsHere } from './person.ts';
import { returnsOf } from './returned.ts';
import { jobsShown } from './shown.ts';
import { hearTabs } from './tabs.ts';
import { renderAll, rest, wake } from './watch.ts';

/*
 * What the screens read and the one way they act, gathered here for them: shown.ts is what is shown,
 * local.ts the device's own copy, person.ts who is at it, watch.ts what keeps it current, act.ts
 * what a thumb does. This file ties them to the page.
 */

export { act, type Said, sendAnyway, tryAgain } from './act.ts';
export { isLocal, itemLog, outbox, pullItem, pullJob } from './local.ts';
export { disagreements } from './overtaken.ts';
export { forgetHouses, pullJobs, pullPeople, showFirst } from './person.ts';
export { news, putAway, refusals, seenNews, turnedBackAt } from './returned.ts';
export {
  itemView,
  jobs,
  jobView,
  noSignal,
  personName,
  rulesMissing,
  type Shown,
} from './shown.ts';
export { plans, refresh, watch } from './watch.ts';

let started = false;

/** Ties the store to the page: who is signed in, signal coming back, the other tab. */
export function startStore(): void {
  if (started) return;
  started = true;
  holdWhile(outbox.onlyHere);
  // Paint dries by the right clock: what is shown was made by the one known before.
  effect(() => {
    if (!Number.isNaN(clockOff.value)) untracked(renderAll);
  });
  effect(() => {
    const now = session.value;
    const person = now.state === 'in' ? now.me.person_id : null;
    untracked(() => {
      if (person !== null) void begins(person);
      else {
        outbox.belongsTo(null);
        if (now.state === 'out') forgetViews();
      }
    });
  });
  addEventListener('online', wake);
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') {
      // A page that was asleep has not heard the others.
      makeWay();
      wake();
    } else rest();
  });
  addEventListener('storage', () => void outbox.reread());
  hearTabs((what) => (what === 'session' ? makeWay() : void rereadAll()));
}

/** Another tab has put something there, sent it, or dealt with it. */
async function rereadAll(): Promise<void> {
  await outbox.reread();
  await returnsOf(whoIsHere());
  for (const { id } of jobsShown.value.view ?? []) {
    if (isLocal(id)) await replica.refold(id).catch(() => undefined);
  }
}
