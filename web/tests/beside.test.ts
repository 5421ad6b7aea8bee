import { signal } from '@preact/signals';
import { describe, expect, it } from 'vitest';
import type { ItemView, JobView } from '../src/api/views.ts';
import { firstViews, standIn } from '../src/live/beside.ts';
import type { Shown } from '../src/live/shown.ts';

const of = (name: string) => ({ id: 'a', name }) as ItemView;
const cell = (shown: Shown<ItemView> = {}) => signal(shown);
const nothingWaits = () => false;

describe('a view that the service makes while the rule book loads', () => {
  it('stands until the device has its own', async () => {
    const shown = cell();
    await standIn(shown, Promise.resolve(of('service')), nothingWaits);
    expect(shown.value.view?.name).toBe('service');
  });

  it("does not take the place of the device's own", async () => {
    const shown = cell();
    const asked = Promise.resolve(of('service'));
    const standing = standIn(shown, asked, nothingWaits);
    shown.value = { view: of('own') };
    await standing;
    expect(shown.value.view?.name).toBe('own');
  });

  it('hides nothing that waits to be sent, also what was done while it was asked for', async () => {
    const shown = cell();
    let waiting = false;
    let answer = (_: ItemView) => {};
    const asked = new Promise<ItemView>((resolve) => {
      answer = resolve;
    });
    const standing = standIn(shown, asked, () => waiting);
    waiting = true;
    answer(of('service'));
    await standing;
    expect(shown.value).toEqual({});
  });

  it('says nothing of a service that is not heard, and brings nothing back that is gone', async () => {
    const shown = cell();
    await standIn(shown, Promise.reject(new TypeError('Failed to fetch')), nothingWaits);
    expect(shown.value).toEqual({});
    shown.value = { gone: 'No longer yours.' };
    await standIn(shown, Promise.resolve(of('service')), nothingWaits);
    expect(shown.value).toEqual({ gone: 'No longer yours.' });
  });
});

describe("the service's view of a job that is new here", () => {
  const view = (seq: number) => ({ id: 'job', seq }) as JobView;
  const setUp = () => {
    const kept: number[] = [];
    return { kept, ...firstViews(({ seq }) => kept.push(seq)) };
  };

  it('is kept where it shows the state that is kept, whichever came first', () => {
    const a = setUp();
    a.served('job', view(7));
    a.begun('job', 7);
    expect(a.kept).toEqual([7]);
    const b = setUp();
    b.begun('job', 7);
    b.served('job', view(7));
    expect(b.kept).toEqual([7]);
  });

  it('is not kept where it shows another', () => {
    const a = setUp();
    a.served('job', view(6));
    a.begun('job', 7);
    a.begun('other', 6);
    expect(a.kept).toEqual([]);
  });

  it('is not kept for the next person', () => {
    const a = setUp();
    a.served('job', view(7));
    a.forget();
    a.begun('job', 7);
    expect(a.kept).toEqual([]);
  });
});
