import type { ComponentChildren, ComponentType } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import type { Me } from '../api/views.ts';
import { startStore } from '../live/store.ts';
import { isLocked, watchPocket } from '../lock/pin.ts';
import { findSession, type Session, session } from './session.ts';
import './gate.css';

let asked = false;

/** What is inside is for someone who is signed in; anyone else is asked who they are, here. */
export function Gate(props: { children: (me: Me) => ComponentChildren }) {
  const [Lock, setLock] = useState<ComponentType<{ me: Me }> | null>(null);
  const [Door, setDoor] = useState<ComponentType | null>(null);
  // What was on the screen stays behind the lock as it was: a reading half typed is not lost.
  const [behind, setBehind] = useState(() => isOpenTo(session.peek()));
  useEffect(() => {
    startStore();
    if (!asked) {
      void findSession();
      watchPocket();
    }
    asked = true;
  }, []);
  // Photos taken before the page was closed go on being sent, whatever screen is open; they come
  // after the first screen.
  useEffect(() => {
    const timer = setTimeout(() => {
      void import('../photos/live.ts').then(
        ({ startPhotos }) => startPhotos(),
        () => undefined,
      );
    }, 1_500);
    return () => clearTimeout(timer);
  }, []);
  const now = session.value;
  const locked = now.state === 'in' && !isOpenTo(now);
  useEffect(() => {
    if (!locked) setBehind(now.state === 'in');
    else void import('../lock/lock.tsx').then((file) => setLock(() => file.Lock));
  }, [locked, now.state]);
  // A phone that knows its person never loads the door.
  useEffect(() => {
    if (now.state === 'out')
      void import('./sign-in.tsx').then((file) => setDoor(() => file.SignIn));
  }, [now.state]);
  if (now.state === 'asking') return <main aria-busy="true" />;
  if (now.state === 'out') return Door === null ? <main aria-busy="true" /> : <Door />;
  return (
    <>
      {locked && (Lock === null ? <main aria-busy="true" /> : <Lock me={now.me} />)}
      {(!locked || behind) && (
        <div key={now.me.person_id} class="behind-lock" hidden={locked}>
          {props.children(now.me)}
        </div>
      )}
    </>
  );
}

function isOpenTo(now: Session): boolean {
  return now.state === 'in' && !isLocked(now.me.person_id);
}
