import { ask } from '../api/client.ts';
import { Refusal } from '../api/refusal.ts';
import type { components } from '../api/schema.ts';
import { t } from '../words/words.ts';

type Ceremony = components['schemas']['Ceremony'];

/** The device's answer to a question of the service's, as it goes back. */
export interface Answered {
  readonly secret: string;
  readonly answer: { [key: string]: unknown };
}

/**
 * Whether this browser can make and use passkeys here: it has to read the service's questions
 * (WebAuthn Level 3), and no passkey belongs to an address of numbers.
 */
export function passkeysHere(): boolean {
  return (
    typeof PublicKeyCredential === 'function' &&
    'parseCreationOptionsFromJSON' in PublicKeyCredential &&
    !/^[\d.]+$|:/.test(location.hostname)
  );
}

/** Asks this device for a new passkey. */
export async function newPasskey(path: string, body: unknown = {}): Promise<Answered> {
  const { secret, options } = await ask<Ceremony>(path, { method: 'POST', body });
  const publicKey = PublicKeyCredential.parseCreationOptionsFromJSON(
    options as unknown as PublicKeyCredentialCreationOptionsJSON,
  );
  return { secret, answer: await answered(navigator.credentials.create({ publicKey })) };
}

/** Asks this device who is at it. */
export async function usePasskey(): Promise<Answered> {
  const { secret, options } = await ask<Ceremony>('/session/passkey/begin', { method: 'POST' });
  const publicKey = PublicKeyCredential.parseRequestOptionsFromJSON(
    options as unknown as PublicKeyCredentialRequestOptionsJSON,
  );
  return { secret, answer: await answered(navigator.credentials.get({ publicKey })) };
}

/** The person closed the device's own question, or it has nothing for this place: told like a refusal. */
async function answered(asked: Promise<Credential | null>): Promise<Answered['answer']> {
  const credential = await asked.catch(() => null);
  if (credential === null) throw new Refusal(0, t('signin.passkey.none'));
  return (credential as PublicKeyCredential).toJSON() as unknown as Answered['answer'];
}
