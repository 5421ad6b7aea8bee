import { goTo } from '../router.ts';
import type { Wanted } from '../service-worker/message.ts';
import { isBusy, isQuiet } from './quiet.ts';

const look = 100;
const longest = 10_000;

/**
 * A notification was touched. A screen that is still being made is waited for; with a tape in the
 * hand the app only comes to the front.
 */
export async function show({ kind, path }: Wanted): Promise<void> {
  if (kind !== 'show') return;
  for (let waited = 0; isBusy() && waited < longest; waited += look) {
    await new Promise((later) => setTimeout(later, look));
  }
  if (isQuiet()) goTo(path);
}
