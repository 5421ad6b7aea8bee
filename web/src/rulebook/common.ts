import type { Spec } from '../api/views.ts';
import json from './common.json';

type RunProfile = NonNullable<Spec['run']>['profile'];

/**
 * What the rule book takes for common; made from it by the Go test that also holds it current. Only
 * the board sets things up by it: what the bench needs is in nails.ts.
 */
export interface Common {
  readonly units: Readonly<Record<Exclude<Spec['unit']['kind'], 'run'>, Spec['unit']>>;
  readonly casing: NonNullable<Spec['casing_a']>;
  readonly profiles: Readonly<Record<RunProfile['kind'], RunProfile>>;
  /** The woods whose movement the rule book knows. */
  readonly woods: readonly string[];
}

// The file's strings are the API's choices, which JSON's own types cannot say.
export const common = json as Common;
