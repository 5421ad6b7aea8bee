import { computed, signal } from '@preact/signals';
import { api } from '../api/client.ts';
import type { Person } from '../api/views.ts';

/** The crew, once known; names are looked up wherever a person's id is shown. */
export const crew = signal<readonly Person[]>([]);

/** Those of them who can be given work: not who has left. */
export const working = computed(() => crew.value.filter(({ left }) => left !== true));

/** Asks for the crew. Names come with the next screen when this fails; the work does not wait. */
export async function learnCrew(): Promise<void> {
  try {
    crew.value = await api.people();
  } catch {
    // No signal, or not signed in: the screen itself says so.
  }
}

/** A person's name; null for nobody, and while the crew is not known. */
export function personName(id: string | undefined): string | null {
  if (id === undefined || id === '') return null;
  return crew.value.find((person) => person.id === id)?.name ?? null;
}
