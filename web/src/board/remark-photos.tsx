import type { ShownProps } from '../photos/shown.tsx';
import { useFile } from '../shell/use-file.ts';

/** A remark's photos. What shows them opens the photos' store: it is loaded with the first there is. */
export function RemarkPhotos(props: ShownProps) {
  const any = props.ids.length > 0;
  const file = useFile(() => import('../photos/shown.tsx'), any);
  return any && file ? <file.ShownPhotos {...props} /> : null;
}
