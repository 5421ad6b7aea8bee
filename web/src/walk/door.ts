import { ask } from '../api/client.ts';
import { newId } from '../api/command.ts';
import type { components } from '../api/schema.ts';
import type { Command, CommandOutcomes } from '../api/views.ts';

export type WalkPage = components['schemas']['WalkPage'];
export type WalkRoom = components['schemas']['WalkRoomView'];
export type WalkItem = components['schemas']['WalkItemView'];
export type Remark = components['schemas']['RemarkView'];
type Entered = components['schemas']['Entered'];

/** A link's secret, and the passphrase where it asks for one, for a key. */
export function enter(token: string, passphrase: string): Promise<Entered> {
  return ask('/walk/enter', { method: 'POST', body: { token, passphrase } });
}

export function page(key: string, language: string): Promise<WalkPage> {
  return ask(`/walk?language=${language}`, { bearer: key });
}

export function say(
  key: string,
  language: string,
  commands: readonly Command[],
): Promise<CommandOutcomes> {
  return ask(`/walk/commands?language=${language}`, {
    method: 'POST',
    bearer: key,
    body: { sent_at: new Date().toISOString(), commands },
  });
}

/** What a homeowner did, as the log will have it. */
export function walkCommand(
  of: Pick<WalkPage, 'view'>,
  place: { readonly room?: string; readonly item?: string },
  body:
    | Pick<Command, 'say_remark'>
    | Pick<Command, 'move_remark'>
    | Pick<Command, 'sign_off'>
    | Pick<Command, 'add_photo'>,
): Command {
  const kind = Object.keys(body)[0] as Command['kind'];
  return {
    id: newId(),
    v: 1,
    kind,
    job_id: of.view.job_id,
    walk_id: of.view.id,
    ...(place.room === undefined ? {} : { room_id: place.room }),
    ...(place.item === undefined ? {} : { item_id: place.item }),
    at: new Date().toISOString(),
    ...body,
  };
}
