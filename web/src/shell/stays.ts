import { signal } from '@preact/signals';

/** False where this browser would not keep the app itself: without a signal it opens no more. */
export const appStays = signal(true);
