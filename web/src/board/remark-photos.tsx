import type { ComponentType } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import type { ShownProps } from '../photos/shown.tsx';

/** A remark's photos. What shows them opens the photos' store: it is loaded with the first there is. */
export function RemarkPhotos(props: ShownProps) {
  const [Shown, setShown] = useState<ComponentType<ShownProps> | null>(null);
  const any = props.ids.length > 0;
  useEffect(() => {
    if (!any) return;
    let here = true;
    import('../photos/shown.tsx').then(
      (file) => {
        if (here) setShown(() => file.ShownPhotos);
      },
      () => undefined,
    );
    return () => {
      here = false;
    };
  }, [any]);
  return any && Shown !== null ? <Shown {...props} /> : null;
}
