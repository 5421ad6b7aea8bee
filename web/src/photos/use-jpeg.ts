import { useEffect, useMemo } from 'preact/hooks';
import type { KeptPhoto } from './kept.ts';

/** A picture that lies on this device, as an address for as long as it is shown. */
export function useJpeg(photo: KeptPhoto | undefined): string | undefined {
  const jpeg = photo?.jpeg;
  const address = useMemo(
    () =>
      jpeg === undefined
        ? undefined
        : URL.createObjectURL(new Blob([jpeg], { type: 'image/jpeg' })),
    [jpeg],
  );
  useEffect(
    () => () => {
      if (address !== undefined) URL.revokeObjectURL(address);
    },
    [address],
  );
  return address;
}
