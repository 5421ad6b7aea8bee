import type { Fastener } from '../api/views.ts';
import json from './nails.json';

/** The nails the rule book knows; made from it by the Go test that also holds it current. */
export interface Nails {
  readonly nail_lengths: Readonly<Record<Fastener['kind'], readonly number[]>>;
  readonly nail_places: readonly Fastener['where'][];
}

// The file's strings are the API's choices, which JSON's own types cannot say.
export const nails = json as Nails;
