import { useEffect, useState } from 'preact/hooks';

/**
 * A file of the app that what is on the screen does not wait for: null while it is on its way, undefined
 * where it is not to be had, which is only without a signal on a first visit.
 */
export function useFile<T>(load: () => Promise<T>, wanted = true): T | null | undefined {
  const [file, setFile] = useState<T | null | undefined>(null);
  useEffect(() => {
    if (!wanted) return;
    let here = true;
    load().then(
      // A module is no function, but what is set by one would be called.
      (loaded) => here && setFile(() => loaded),
      () => here && setFile(undefined),
    );
    return () => {
      here = false;
    };
  }, [wanted]);
  return file;
}
