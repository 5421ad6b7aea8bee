import { type ReadonlySignal, signal } from '@preact/signals';
import { remember, remembered } from '../remembered.ts';

/*
 * What the service's clock says here. Phones' clocks are wrong, and paint dries by the right one:
 * every answer carries the service's time, and the rules are asked with the device's time corrected
 * by the difference. A command keeps the device's own time; the service takes the difference off.
 */

const key = 'longpoint.clock';
const halfSecond = 500;
// An answer that took this long says little about the time it left.
const slowest = 10_000;
// Below it, the header's whole seconds and the way here are as likely the cause.
const least = 2_000;

const behind = signal(kept());

/** Milliseconds the device's clock is behind the service's; negative when it is ahead. */
export const clockOff: ReadonlySignal<number> = behind;

/** More than this is told to the person. */
export const clockOffLarge = 2 * 60_000;

/** Takes the time from an answer's Date header. It counts whole seconds, cut off. */
export function heardTime(header: string | null, asked: number, heard = Date.now()): void {
  const said = header === null ? Number.NaN : Date.parse(header);
  if (!Number.isFinite(said) || heard - asked > slowest || heard < asked) return;
  const now = Math.round(said + halfSecond - (asked + heard) / 2);
  const off = Math.abs(now) < least ? 0 : now;
  if (Math.abs(off - behind.peek()) < least) return;
  behind.value = off;
  remember(key, String(off));
}

/** Now by the service's clock, as well as is known. */
export function serviceNow(): Date {
  return new Date(Date.now() + behind.peek());
}

/** A device's time by the service's clock, for telling when something was done. */
export function corrected(deviceTime: string): Date {
  return new Date(Date.parse(deviceTime) + behind.peek());
}

function kept(): number {
  const off = Number(remembered(key));
  return Number.isFinite(off) ? off : 0;
}
