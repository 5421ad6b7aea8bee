/** What tabs of the app tell one another. Each reads the device's store, or who is at it, afresh; nothing else crosses. */
export type Told = 'outbox' | 'session';

const channel = typeof BroadcastChannel === 'undefined' ? null : new BroadcastChannel('longpoint');

export function tellTabs(what: Told): void {
  channel?.postMessage(what);
}

export function hearTabs(listen: (what: Told) => void): void {
  channel?.addEventListener('message', ({ data }: MessageEvent<Told>) => listen(data));
}

/**
 * Runs work while no other tab of the app runs any: one tab sends at a time. A tab that is closed or
 * killed gives its turn up by itself. Without locks two tabs may send the same, which is once.
 */
export function alone(work: () => Promise<void>): Promise<void> {
  const locks: LockManager | null | undefined = globalThis.navigator?.locks;
  return locks == null ? work() : locks.request('longpoint.outbox', work);
}
