import { language } from '../words/words.ts';
import { heardTime } from './clock.ts';
import { Refusal, Unreachable } from './refusal.ts';
import type {
  Command,
  CommandOutcomes,
  EntryList,
  HouseRules,
  ItemView,
  JobLine,
  JobView,
  Me,
  Person,
  Problem,
  RefusedView,
} from './views.ts';

const root = '/api/v1';

// Long enough for a bad signal to come back around a corner, short enough to be told.
const patience = 25_000;

interface Sent {
  readonly method?: 'GET' | 'POST' | 'PUT' | 'DELETE';
  readonly body?: unknown;
  readonly signal?: AbortSignal;
  /** The key of somebody who is not signed in. */
  readonly bearer?: string;
}

/**
 * One request. Throws a Refusal with the service's own sentence, or Unreachable when nothing came
 * back that the service wrote.
 */
export function ask<T>(path: string, sent: Sent = {}): Promise<T> {
  return answered(
    path,
    sent,
    async (answer) => (answer.status === 204 ? undefined : await answer.json()) as T,
  );
}

async function answered<T>(
  path: string,
  sent: Sent,
  read: (answer: Response) => Promise<T>,
): Promise<T> {
  const timer = new AbortController();
  const late = setTimeout(() => timer.abort(), patience);
  const stop = () => timer.abort();
  sent.signal?.addEventListener('abort', stop, { once: true });
  try {
    const asked = Date.now();
    const answer = await fetch(root + path, {
      method: sent.method ?? 'GET',
      credentials: 'same-origin',
      signal: timer.signal,
      headers: {
        Accept: 'application/json',
        'Accept-Language': language.peek().tag,
        ...(sent.bearer === undefined ? {} : { Authorization: `Bearer ${sent.bearer}` }),
        ...(sent.body === undefined ? {} : { 'Content-Type': 'application/json' }),
      },
      ...(sent.body === undefined ? {} : { body: JSON.stringify(sent.body) }),
    });
    heardTime(answer.headers.get('Date'), asked);
    if (!answer.ok) throw await refusalOf(answer);
    return await read(answer);
  } catch (cause) {
    if (cause instanceof Refusal || cause instanceof Unreachable) throw cause;
    throw new Unreachable('no answer', { cause });
  } finally {
    clearTimeout(late);
    sent.signal?.removeEventListener('abort', stop);
  }
}

async function refusalOf(answer: Response): Promise<Refusal | Unreachable> {
  const type = answer.headers.get('Content-Type') ?? '';
  if (!type.includes('json')) {
    // A proxy's own page, or a café's sign-in page: not our service, so as good as no signal.
    return new Unreachable(`status ${answer.status} without a sentence`);
  }
  const problem = (await answer.json()) as Partial<Problem>;
  const after = Number(answer.headers.get('Retry-After') ?? Number.NaN);
  return new Refusal(
    answer.status,
    problem.detail ?? problem.title ?? '',
    problem.errors ?? [],
    Number.isFinite(after) ? after : null,
  );
}

export const api = {
  me: () => ask<Me>('/session'),
  signIn: (name: string, passphrase: string, device: { id: string; name: string }) =>
    ask<Me>('/session', { method: 'POST', body: { sign_in: name, passphrase, device } }),
  signOut: () => ask<void>('/session', { method: 'DELETE' }),
  setSettings: (settings: Pick<Me, 'language' | 'unit'> & Partial<Pick<Me, 'name' | 'fine'>>) =>
    ask<Me>('/session/settings', { method: 'PUT', body: settings }),
  people: () => ask<{ people: Person[] }>('/people').then(({ people }) => people),
  rules: () => ask<HouseRules>('/rules'),
  jobs: () => ask<{ jobs: JobLine[] }>('/jobs').then(({ jobs }) => jobs),
  job: (job: string, signal?: AbortSignal) =>
    ask<JobView>(`/jobs/${job}`, signal === undefined ? {} : { signal }),
  item: (job: string, item: string, signal?: AbortSignal) =>
    ask<ItemView>(`/jobs/${job}/items/${item}`, signal === undefined ? {} : { signal }),
  itemEntries: (job: string, item: string, after = 0) =>
    ask<EntryList>(`/jobs/${job}/items/${item}/entries?after=${after}&limit=1000`),
  entries: (job: string, after = 0, limit = 200) =>
    ask<EntryList>(`/jobs/${job}/entries?after=${after}&limit=${limit}`),
  /** A stretch of the log as it stands, as text: it goes to the rule book and to the disk unread. */
  log: (job: string, after: number, limit: number) =>
    answered(`/jobs/${job}/log?after=${after}&limit=${limit}`, {}, (answer) => answer.text()),
  /** A whole job as the rule book holds it, as text for the same reason. */
  state: (job: string) => answered(`/jobs/${job}/state`, {}, (answer) => answer.text()),
  refused: (job: string) =>
    ask<{ refused: RefusedView[] }>(`/jobs/${job}/refused`).then(({ refused }) => refused),
};

/**
 * Sends what one person did, in order; the service turns it away where somebody else is signed in by
 * now. `view` asks for that item as it is afterwards.
 * Screens do not call this: they call act() of the store, which keeps what could not be sent.
 */
export function submit(
  job: string,
  commands: readonly Command[],
  person: string,
  view?: string,
): Promise<CommandOutcomes> {
  const asked = view === undefined ? '' : `?view=${view}`;
  return ask(`/jobs/${job}/commands${asked}`, {
    method: 'POST',
    body: { sent_at: new Date().toISOString(), person_id: person, commands },
  });
}
