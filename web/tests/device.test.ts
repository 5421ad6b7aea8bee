import { beforeEach, describe, expect, it, vi } from 'vitest';

// What was asked for and found is remembered as long as the page: each test has its own.
async function page(storage: Partial<StorageManager> | undefined) {
  vi.resetModules();
  vi.stubGlobal('navigator', { ...(storage === undefined ? {} : { storage }) });
  return import('../src/live/device.ts');
}

const mb = 1024 * 1024;
const holding = (usage: number, quota: number) => ({
  estimate: async () => ({ usage: usage * mb, quota: quota * mb }),
});

beforeEach(() => vi.unstubAllGlobals());

describe('room on the device', () => {
  it('is no matter while there is plenty', async () => {
    const { lookForRoom, roomShort } = await page(holding(200, 2000));
    await lookForRoom();
    expect(roomShort.value).toBeNull();
  });

  it('is said while what is entered still fits: a day of photos would not', async () => {
    const { lookForRoom, roomShort } = await page(holding(445, 500));
    await lookForRoom();
    expect(roomShort.value).toEqual({ used: 445 * mb, left: 55 * mb });
  });

  it('is said when nine tenths are used, however much that is', async () => {
    const { lookForRoom, roomShort } = await page(holding(1850, 2000));
    await lookForRoom();
    expect(roomShort.value?.left).toBe(150 * mb);
  });

  it('is looked for again, and no longer said once photos have gone', async () => {
    let used = 480;
    const { lookForRoom, roomShort } = await page({
      estimate: async () => ({ usage: used * mb, quota: 500 * mb }),
    });
    await lookForRoom();
    expect(roomShort.value).not.toBeNull();
    used = 100;
    await lookForRoom();
    expect(roomShort.value).toBeNull();
  });

  it('is said not to be known where the browser does not say, and nowhere else', async () => {
    for (const storage of [undefined, { estimate: async () => ({}) }]) {
      const { lookForRoom, roomShort, roomUnknown } = await page(storage);
      await lookForRoom();
      expect(roomShort.value).toBeNull();
      expect(roomUnknown.value).toBe(true);
    }
    const { lookForRoom, roomUnknown } = await page(holding(200, 2000));
    await lookForRoom();
    expect(roomUnknown.value).toBe(false);
  });
});

describe('staying on the device', () => {
  const asking = (persisted: boolean) => ({
    persisted: vi.fn(async () => persisted),
    persist: vi.fn(async () => true),
  });

  it('is asked for once, and not where it was granted before', async () => {
    const fresh = asking(false);
    const { askToStay } = await page(fresh);
    askToStay();
    askToStay();
    await vi.waitFor(() => expect(fresh.persist).toHaveBeenCalledTimes(1));
    expect(fresh.persisted).toHaveBeenCalledTimes(1);

    const granted = asking(true);
    (await page(granted)).askToStay();
    await vi.waitFor(() => expect(granted.persisted).toHaveBeenCalled());
    expect(granted.persist).not.toHaveBeenCalled();
  });

  it('is no trouble in a browser that cannot be asked', async () => {
    const { askToStay } = await page(undefined);
    expect(askToStay).not.toThrow();
  });
});
