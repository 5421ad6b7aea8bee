import type { StageName } from '../api/views.ts';

/** Addresses within the bench, for its own links and for others that lead here. */
export const places = {
  home: '/bench',
  unsent: '/bench/unsent',
  room: (job: string, room: string) => `/bench/jobs/${job}/rooms/${room}`,
  item: (job: string, item: string, stage?: StageName) =>
    `/bench/jobs/${job}/items/${item}${stage === undefined ? '' : `/${stage}`}`,
};
