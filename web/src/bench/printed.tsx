import { signal } from '@preact/signals';
import { Words } from '../parts/fraction.tsx';
import { rulebook } from '../rulebook/load.ts';
import type { Unit } from '../rulebook/rulebook.ts';

// The rule book prints every length. What it answered is kept: the same lengths come up again and
// again, and a screen must not flicker while it asks.
const printed = signal<ReadonlyMap<string, string>>(new Map());
const asked = new Set<string>();

/** The distance of the marks that people here read to: 1/16 in or 1 mm; finer shows as heavy or light. */
const steps: Readonly<Record<Unit, number>> = { in: 1_587_500, mm: 1_000_000 };

/** The finest marks there are, for settings, which nobody reads off a tape. */
export const finest: Readonly<Record<Unit, number>> = { in: 396_875, mm: 500_000 };

/** A length as the rule book prints it; '' until it has answered. */
export function print(nm: number, unit: Unit, step = steps[unit]): string {
  const key = `${nm} ${unit} ${step}`;
  const known = printed.value.get(key);
  if (known !== undefined) return known;
  if (!asked.has(key)) {
    asked.add(key);
    rulebook()
      .printLength(nm, unit, step)
      .then((text) => {
        printed.value = new Map(printed.value).set(key, text);
      })
      .catch(() => asked.delete(key));
  }
  return '';
}

export function Printed(props: { nm: number; unit: Unit }) {
  const text = print(props.nm, props.unit);
  return text === '' ? <span aria-busy="true">…</span> : <Words>{text}</Words>;
}
