import { batch, effect, untracked } from '@preact/signals';
import { api } from '../api/client.ts';
import type { JobLine } from '../api/views.ts';
import { findKnown, session } from '../sign-in/session.ts';
import { t } from '../words/words.ts';
import type { PersonRow } from './db.ts';
import { device, lookForRoom } from './device.ts';
import { company, pullCompany, setCompany } from './eyes.ts';
import { idsIn, takeRead } from './first-read.ts';
import { closeLocal, jobGone, outbox, showSeen } from './local.ts';
import { forgetDisagreements } from './overtaken.ts';
import { returnsOf } from './returned.ts';
import { readSeen } from './seen.ts';
import { askInto, forgetShown, jobsShown, peopleShown } from './shown.ts';

/* Who is at this device: their jobs, their crew, and what the device knows of both before it asks. */

let here = '';
let begun = '';
let companyKept = '{}';
let first: Promise<boolean> | undefined;
let restored = Promise.resolve();

/** Whose work is shown; nobody's while it is empty. */
export function whoIsHere(): string {
  return here;
}

// A browser that does not give up its database must not keep the first screen.
const patience = 1_500;

/**
 * Before the first screen: this person's jobs, and the views that its address names, so that it is
 * drawn once and whole. Without them it is drawn all the same. Tells whether there were any.
 */
export async function showFirst(path: string): Promise<boolean> {
  const known = findKnown();
  if (known === null) return false;
  first ??= firstFor(known.person_id, path);
  const late = new Promise<false>((done) => setTimeout(() => done(false), patience));
  return Promise.race([first, late]);
}

async function firstFor(person: string, path: string): Promise<boolean> {
  here = person;
  const named = idsIn(path);
  const early = takeRead(person);
  restored = early.then((read) => restore(person, read?.row));
  // Read beside the rest, and not after it.
  const kept = early.then((read) => read?.views ?? (named && readSeen(person, named)));
  await restored;
  const shown = named ?? jobsShown.value.view?.map(({ id }) => id) ?? [];
  return showSeen(
    shown,
    kept.then((rows) => rows ?? readSeen(person, shown)),
  ).catch(() => false);
}

/** What the device knows of a person stands before the service is asked. */
export async function begins(person: string): Promise<void> {
  if (here !== person) {
    here = person;
    closeLocal();
    restored = restore(person);
  }
  await restored;
  if (here !== person) return;
  if (begun !== person) {
    begun = person;
    await returnsOf(person);
    void lookForRoom();
  }
  outbox.belongsTo(person);
  void pullPeople();
}

async function restore(person: string, read?: PersonRow): Promise<void> {
  const row = read ?? (await rowOf(person));
  if (row === undefined || here !== person) return;
  companyKept = JSON.stringify(row.company);
  batch(() => {
    setCompany(row.company);
    if (peopleShown.value.length === 0) peopleShown.value = row.people;
    if (jobsShown.value.view === undefined)
      jobsShown.value = { ...jobsShown.value, view: row.jobs };
  });
}

async function rowOf(person: string): Promise<PersonRow | undefined> {
  const { keep } = await device();
  return keep.person(person).catch(() => undefined);
}

/** The next person at this device sees nothing of the last one's. */
export function forgetViews(): void {
  here = '';
  begun = '';
  void returnsOf('');
  forgetDisagreements();
  setCompany({});
  closeLocal();
  forgetShown();
}

export async function pullJobs(): Promise<void> {
  const asker = here;
  await askInto<readonly JobLine[]>(jobsShown, api.jobs);
  await keepPerson();
  const { view, offline } = jobsShown.value;
  if (view !== undefined && offline !== true && here === asker) void dropUnlisted(view);
  void pullCompany();
}

/** Jobs that are no longer this person's leave the device; what they did and is unsent does not. */
async function dropUnlisted(list: readonly JobLine[]): Promise<void> {
  const listed = new Set(list.map(({ id }) => id));
  const { keep } = await device();
  if (here === '') return;
  for (const job of await keep.jobs(here).catch(() => [])) {
    if (!listed.has(job)) await jobGone(job, t('item.gone.more'));
  }
}

export async function pullPeople(): Promise<void> {
  try {
    peopleShown.value = await api.people();
    await keepPerson();
  } catch {
    // Names come with the next pull; the work does not wait for them.
  }
}

async function keepPerson(): Promise<void> {
  const now = session.peek();
  // Not before what is kept has been read: a start without a signal would write nothing over it.
  await restored;
  if (now.state !== 'in' || jobsShown.value.view === undefined) return;
  const { keep } = await device();
  await keep
    .setPerson({
      person_id: now.me.person_id,
      me: now.me,
      jobs: jobsShown.value.view,
      people: peopleShown.value,
      company: company.peek(),
    })
    .catch(() => undefined);
}

effect(() => {
  const now = JSON.stringify(company.value);
  if (now === companyKept) return;
  companyKept = now;
  untracked(() => void keepPerson());
});

/** A person who signs out leaves no house behind on the device; what they have not sent stays. */
export async function forgetHouses(person: string): Promise<void> {
  const { keep } = await device();
  await keep.forgetPerson(person).catch(() => undefined);
  await import('../photos/live.ts').then(({ queue }) => queue.forgetSent(person)).catch(() => 0);
}
