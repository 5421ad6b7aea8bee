import { signal } from '@preact/signals';
import { rulebook } from '../rulebook/load.ts';
import type { Unit } from '../rulebook/rulebook.ts';

// What the rule book answered is kept: a table of lengths must not flicker while it asks.
const printed = signal<ReadonlyMap<string, string>>(new Map());
const asked = new Set<string>();

/** House rules go down to 1/32 in and half millimeters, finer than a tape is read to. */
const steps: Readonly<Record<Unit, number>> = { in: 793_750, mm: 500_000 };

/** A length as the rule book prints it to the finest mark; '' until it has answered. */
export function printFine(nm: number, unit: Unit): string {
  const key = `${nm} ${unit}`;
  const known = printed.value.get(key);
  if (known !== undefined) return known;
  if (!asked.has(key)) {
    asked.add(key);
    rulebook()
      .printLength(nm, unit, steps[unit])
      .then(
        (text) => {
          printed.value = new Map(printed.value).set(key, text);
        },
        () => asked.delete(key),
      );
  }
  return '';
}
