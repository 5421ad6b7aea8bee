import { deviceName, newId } from '../api/command.ts';

const key = 'longpoint.device';

export interface ThisDevice {
  readonly id: string;
  readonly name: string;
}

/** How this device is known in its owner's list, from its first sign-in on. */
export function thisDevice(): ThisDevice {
  const name = deviceName();
  try {
    let id = localStorage.getItem(key);
    if (id === null) {
      id = newId();
      localStorage.setItem(key, id);
    }
    return { id, name };
  } catch {
    return { id: newId(), name }; // storage is off: another device at every visit
  }
}
