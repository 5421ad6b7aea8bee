import type { OutboxRow, RefusedRow } from '../live/db.ts';
import { Words } from '../parts/fraction.tsx';
import { me } from '../sign-in/session.ts';
import { Printed } from './printed.tsx';

/** An entry as it was said here, with its length. */
export function KeptWords(props: { kept: OutboxRow | RefusedRow }) {
  const { said, nm } = props.kept;
  return (
    <>
      <Words>{said}</Words>
      {nm !== undefined && (
        <>
          {': '}
          <strong class="number">
            <Printed nm={nm} unit={me().unit} />
          </strong>
        </>
      )}
    </>
  );
}
