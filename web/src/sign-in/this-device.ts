import { deviceName, newId } from '../api/command.ts';
import { remember, remembered } from '../remembered.ts';

const key = 'longpoint.device';

export interface ThisDevice {
  readonly id: string;
  readonly name: string;
}

/** How this device is known in its owner's list, from its first sign-in on. */
export function thisDevice(): ThisDevice {
  const id = remembered(key) ?? newId();
  remember(key, id);
  return { id, name: deviceName() };
}
