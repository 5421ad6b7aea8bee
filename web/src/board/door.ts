import { ask } from '../api/client.ts';
import { newId } from '../api/command.ts';
import type { components } from '../api/schema.ts';
import { askOnceSent } from '../live/ask-once-sent.ts';

type Schemas = components['schemas'];
export type SchedulePreview = Schemas['SchedulePreview'];
export type ScheduleRow = Schemas['ScheduleRow'];
export type ScheduleSheet = Schemas['ScheduleSheet'];
export type SetUpOutcome = Schemas['SetUpOutcome'];
export type Template = Schemas['TemplateLine'];
export type Level = 'basement' | 'ground' | 'upper';

/**
 * What the service makes of many things at once: a schedule, a copy, a template. It is asked for
 * with an id of its own, so that asking again after an answer was lost does nothing twice.
 */
export interface Asked {
  readonly id: string;
  readonly at: string;
}

export function asking(): Asked {
  return { id: newId(), at: new Date().toISOString() };
}

const sent = () => ({ sent_at: new Date().toISOString() });

export const door = {
  preview: (job: string, sheet: ScheduleSheet) =>
    askOnceSent<SchedulePreview>(job, `/jobs/${job}/schedule/preview`, {
      method: 'POST',
      body: sheet,
    }),
  take: (job: string, asked: Asked, sheet: ScheduleSheet) =>
    askOnceSent<SetUpOutcome>(job, `/jobs/${job}/schedule`, {
      method: 'POST',
      body: { ...asked, ...sent(), ...sheet },
    }),
  copyRoom: (
    job: string,
    room: string,
    asked: Asked,
    copy: { readonly name: string; readonly level: Level },
  ) =>
    askOnceSent<SetUpOutcome>(job, `/jobs/${job}/rooms/${room}/copy`, {
      method: 'POST',
      body: { ...asked, ...sent(), ...copy },
    }),
  templates: () => ask<{ templates: Template[] }>('/templates').then((list) => list.templates),
  keep: (from: {
    readonly id: string;
    readonly name: string;
    readonly kind: Template['kind'];
    readonly job_id: string;
    readonly room_id?: string;
  }) =>
    askOnceSent<{ templates: Template[] }>(from.job_id, '/templates', {
      method: 'POST',
      body: from,
    }).then((list) => list.templates),
  use: (
    job: string,
    template: string,
    asked: Asked,
    how: { readonly name?: string; readonly room_id?: string },
  ) =>
    askOnceSent<SetUpOutcome>(job, `/jobs/${job}/templates/${template}`, {
      method: 'POST',
      body: { ...asked, ...sent(), ...how },
    }),
  drop: (template: string) => ask<void>(`/templates/${template}`, { method: 'DELETE' }),
};
