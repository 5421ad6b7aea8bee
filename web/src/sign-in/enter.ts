import { api, ask } from '../api/client.ts';
import type { Me } from '../api/views.ts';
import { signedInAs } from '../lock/pin.ts';
import { remember, remembered } from '../remembered.ts';
import { usePasskey } from './passkey.ts';
import { enter } from './session.ts';
import { thisDevice } from './this-device.ts';

/* The ways in. A phone that knows its person loads none of this. */

const nameKey = 'longpoint.name';

export async function signIn(name: string, passphrase: string): Promise<void> {
  const who = await api.signIn(name, passphrase, thisDevice());
  remember(nameKey, name);
  arrive(who);
}

/** By whatever passkey this device has for this place: no name is asked for. */
export async function signInByPasskey(): Promise<void> {
  const body = { ...(await usePasskey()), device: thisDevice() };
  const who = await ask<Me>('/session/passkey', { method: 'POST', body });
  remember(nameKey, who.sign_in);
  arrive(who);
}

/** Somebody has just proved who they are, here. */
export function arrive(who: Me): void {
  signedInAs(who.person_id);
  enter(who);
}

/** The name that was last signed in with here. */
export function lastName(): string {
  return remembered(nameKey)?.replace(/^"|"$/g, '') ?? ''; // quoted by older apps
}
