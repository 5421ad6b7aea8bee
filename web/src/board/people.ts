import { computed, type ReadonlySignal } from '@preact/signals';
import type { Person } from '../api/views.ts';
import { peopleShown } from '../live/shown.ts';

/** The crew as the device knows it, also without a signal; it goes with whoever signs out. */
export const crew: ReadonlySignal<readonly Person[]> = peopleShown;

/** Those of them who can be given work: not who has left. */
export const working = computed(() => crew.value.filter(({ left }) => left !== true));

/** A person's name; null for nobody, and while the crew is not known. */
export function personName(id: string | undefined): string | null {
  if (id === undefined || id === '') return null;
  return crew.value.find((person) => person.id === id)?.name ?? null;
}
