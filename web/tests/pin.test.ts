import { beforeEach, describe, expect, it } from 'vitest';
import { hasPin, isLocked, isLockedOut, setOpen, signedInAs } from '../src/lock/pin.ts';
import { dropPin, mostTries, pinWait, setPin, tryPin, waitAfter } from '../src/lock/try-pin.ts';

const sol = 'person-sol';

beforeEach(async () => {
  localStorage.clear();
  await setPin(sol, '4711');
});

describe('the PIN of a phone', () => {
  it('locks the screen of its own person, and opens it', async () => {
    expect(isLocked(sol)).toBe(false);
    setOpen(false);
    expect([isLocked(sol), isLocked('somebody else')]).toEqual([true, false]);
    expect(await tryPin('0000')).toBe('wrong');
    expect(isLocked(sol)).toBe(true);
    expect(await tryPin('4711')).toBe('open');
    expect(isLocked(sol)).toBe(false);
  });

  it('is not on the device as it was typed', () => {
    expect(JSON.stringify({ ...localStorage })).not.toContain('4711');
  });

  it('makes guessing slow, then asks for the whole sign-in', async () => {
    setOpen(false);
    let now = Date.now();
    const waits: number[] = [];
    for (let n = 1; n < mostTries; n += 1) {
      expect(await tryPin('0000', now)).toBe('wrong');
      waits.push(pinWait(now));
      if (pinWait(now) > 0) expect(await tryPin('4711', now)).toBe('wait');
      now += pinWait(now);
    }
    expect(waits).toEqual([0, 0, 15_000, 30_000, 60_000, 120_000, 240_000]);
    expect(await tryPin('0000', now)).toBe('out');
    expect([isLockedOut(), hasPin(sol)]).toEqual([true, false]);
    signedInAs(sol);
    expect(isLockedOut()).toBe(false);
    expect(waitAfter(mostTries)).toBe(null);
  }, 60_000);

  it('is none of the next person at the phone', () => {
    signedInAs('somebody else');
    expect(hasPin(sol)).toBe(false);
  });

  it('can be gone without', () => {
    setOpen(false);
    dropPin();
    expect(isLocked(sol)).toBe(false);
  });
});
