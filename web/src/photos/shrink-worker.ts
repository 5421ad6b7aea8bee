import { shrink } from './shrink.ts';

/** One picture, one answer: the picture made small, or null where it cannot be drawn here. */
addEventListener('message', ({ data }: MessageEvent<Blob>) => {
  shrink(data).then(
    (made) => postMessage(made, { transfer: [made.jpeg] }),
    () => postMessage(null),
  );
});
