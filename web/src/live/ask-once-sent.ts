import { ask } from '../api/client.ts';
import { Unreachable } from '../api/refusal.ts';
import { outbox } from './local.ts';

/**
 * Asks the service for what it makes out of a job's log, when what was done here is in that log: a
 * piece just cut would be planned once more, a room just made would not be there to copy.
 * Unreachable when what was done here could not be sent.
 */
export async function askOnceSent<T>(
  job: string,
  path: string,
  asked: NonNullable<Parameters<typeof ask>[1]>,
): Promise<T> {
  const { signal } = asked;
  const givenUp = new Promise<never>((_, reject) => {
    signal?.addEventListener('abort', () => reject(signal.reason), { once: true });
  });
  if (!(await Promise.race([outbox.sent(job), givenUp]))) {
    throw new Unreachable('what was done here is not sent yet');
  }
  return ask<T>(path, asked);
}
