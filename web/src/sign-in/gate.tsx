import type { ComponentChildren } from 'preact';
import { useEffect } from 'preact/hooks';
import type { Me } from '../api/views.ts';
import { startStore } from '../live/store.ts';
import { findSession, session } from './session.ts';
import { SignIn } from './sign-in.tsx';

let asked = false;

/** What is inside is for someone who is signed in; anyone else is asked who they are, here. */
export function Gate(props: { children: (me: Me) => ComponentChildren }) {
  useEffect(() => {
    startStore();
    if (!asked) void findSession();
    asked = true;
  }, []);
  const now = session.value;
  if (now.state === 'asking') return <main aria-busy="true" />;
  if (now.state === 'out') return <SignIn />;
  return <>{props.children(now.me)}</>;
}
