import { type ReadonlySignal, signal } from '@preact/signals';
import { api } from '../api/client.ts';
import { corrected, serviceNow } from '../api/clock.ts';
import type { Reader, RuleSet } from '../rulebook/jobs.ts';
import { session } from '../sign-in/session.ts';
import type { Eyes } from './replica.ts';

/* For whom the rule book here decides and writes: the person signed in, and their company's rules. */

const rules = signal<RuleSet>({});

/** The company's house rules, as last heard. They are in no job's log. */
export const company: ReadonlySignal<RuleSet> = rules;

export function setCompany(now: RuleSet): void {
  if (JSON.stringify(now) !== JSON.stringify(rules.peek())) rules.value = now;
}

export async function pullCompany(): Promise<void> {
  try {
    const { rules: table } = await api.rules();
    setCompany(
      Object.fromEntries(
        table.flatMap(({ key, value, origin }) => (origin === 'company' ? [[key, value]] : [])),
      ),
    );
  } catch {
    // Those known here stand until they are heard.
  }
}

const steps: Readonly<Record<Reader['unit'], number>> = { in: 1_587_500, mm: 1_000_000 };

export function eyes(): Eyes {
  const now = session.peek();
  if (now.state !== 'in') throw new Error('nobody is signed in');
  const { person_id, role, language, unit, fine = false } = now.me;
  return {
    person: person_id,
    role,
    company: rules.peek(),
    reader: {
      language,
      unit,
      step: fine ? steps[unit] / 2 : steps[unit],
      now: serviceNow().toISOString(),
    },
    corrected: (deviceTime) => corrected(deviceTime).toISOString(),
  };
}
