import { beforeEach, describe, expect, it } from 'vitest';
import { holdWhile, isQuiet } from '../src/shell/quiet.ts';
import { type UpdatePlace, watchUpdates } from '../src/shell/update.ts';

/** A browser's service workers, as far as a page sees them. */
class Workers extends EventTarget {
  controller: ServiceWorker | null = null;
  readonly registration = Object.assign(new EventTarget(), {
    waiting: null as ServiceWorker | null,
    installing: null as ServiceWorker | null,
  });
  readonly said: string[] = [];

  register = () => Promise.resolve(this.registration as unknown as ServiceWorkerRegistration);
  getRegistration = this.register;

  worker(name: string): ServiceWorker {
    return Object.assign(new EventTarget(), {
      state: 'installed',
      postMessage: (message: { kind: string }) => this.said.push(`${name}: ${message.kind}`),
    }) as unknown as ServiceWorker;
  }
  /** A newer version has been fetched whole and waits. */
  arrives(name: string): ServiceWorker {
    const coming = this.worker(name);
    this.registration.installing = coming;
    this.registration.dispatchEvent(new Event('updatefound'));
    this.registration.waiting = coming;
    coming.dispatchEvent(new Event('statechange'));
    return coming;
  }
  takesOver(worker: ServiceWorker): void {
    this.registration.waiting = null;
    this.controller = worker;
    this.dispatchEvent(new Event('controllerchange'));
  }
}

async function page(over: { touched: boolean; controlled?: boolean; waiting?: boolean }) {
  const workers = new Workers();
  if (over.controlled !== false) workers.controller = workers.worker('old');
  if (over.waiting) workers.registration.waiting = workers.worker('new');
  let reloads = 0;
  const state = { touched: over.touched };
  const updating = await watchUpdates({
    workers: workers as unknown as UpdatePlace['workers'],
    touched: () => state.touched,
    reload: () => {
      reloads += 1;
    },
  });
  return { workers, updating, reloads: () => reloads, state };
}

describe('a new version', () => {
  it('is not made of the first one ever', async () => {
    const { workers, updating, reloads } = await page({ touched: false, controlled: false });
    workers.takesOver(workers.arrives('first'));
    expect(updating.ready.value).toBe(false);
    expect(workers.said).toEqual([]);
    expect(reloads()).toBe(0);
    workers.takesOver(workers.arrives('second'));
    expect(reloads()).toBe(1);
  });

  it('waits for the person at work, and takes over when they agree', async () => {
    const { workers, updating, reloads } = await page({ touched: true });
    const coming = workers.arrives('new');
    expect(updating.ready.value).toBe(true);
    expect(workers.said).toEqual([]);
    updating.start();
    expect(workers.said).toEqual(['new: take_over']);
    expect(reloads()).toBe(0);
    workers.takesOver(coming);
    expect(reloads()).toBe(1);
  });

  it('takes over at the start when no other page is open', async () => {
    const { workers, reloads } = await page({ touched: false, waiting: true });
    expect(workers.said).toEqual(['new: take_over_if_alone']);
    workers.takesOver(workers.registration.waiting as ServiceWorker);
    expect(reloads()).toBe(1);
  });

  it('let in by another page, leaves this one as it is until asked', async () => {
    const { workers, updating, reloads } = await page({ touched: true });
    workers.takesOver(workers.arrives('new'));
    expect(reloads()).toBe(0);
    expect(updating.ready.value).toBe(true);
    updating.start();
    expect(reloads()).toBe(1);
  });

  it('that was touched between asking and taking over is not reloaded under the thumb', async () => {
    const { workers, updating, reloads, state } = await page({ touched: false, waiting: true });
    state.touched = true;
    workers.takesOver(workers.registration.waiting as ServiceWorker);
    expect(reloads()).toBe(0);
    expect(updating.ready.value).toBe(true);
  });
});

describe('a quiet moment', () => {
  beforeEach(() => {
    document.body.replaceChildren();
  });
  const put = (html: string) => {
    document.body.innerHTML = html;
  };

  it('is a screen on which nothing is under way', () => {
    put('<main><button>Tick</button><input type="text"><textarea></textarea></main>');
    expect(isQuiet()).toBe(true);
  });

  it('is not while a tape or a sheet is open, or the screen still loads', () => {
    put('<div class="tape"></div>');
    expect(isQuiet()).toBe(false);
    put('<dialog open></dialog>');
    expect(isQuiet()).toBe(false);
    put('<main aria-busy="true"></main>');
    expect(isQuiet()).toBe(false);
  });

  it('is not while something typed is not kept, even after the field was left', () => {
    put('<input type="text">');
    const field = document.querySelector('input');
    if (field === null) throw new Error('no field');
    field.focus();
    expect(isQuiet()).toBe(false);
    field.blur();
    expect(isQuiet()).toBe(true);
    field.value = '79 5/8';
    expect(isQuiet()).toBe(false);
  });

  it('is not while an entry is only in memory', () => {
    let unsaved = true;
    holdWhile(() => unsaved);
    expect(isQuiet()).toBe(false);
    unsaved = false;
    expect(isQuiet()).toBe(true);
  });
});
