import type { ComponentChildren } from 'preact';
import './button.css';

export interface ButtonProps {
  /** 'main' is the one thing to do here; 'line' is any other; 'quiet' sits inside a sentence row. */
  kind?: 'main' | 'line' | 'quiet';
  onPress: () => void;
  children: ComponentChildren;
  /** Needed when the visible words don't say it all. Must start with the visible words. */
  name?: string;
  disabled?: boolean;
  /** For a button that opens something: announced as expanded or collapsed. */
  expanded?: boolean;
  /** For a toggle. */
  pressed?: boolean;
  /** Fills its row. */
  wide?: boolean;
  class?: string;
  describedBy?: string;
}

export function Button(props: ButtonProps) {
  const { kind = 'line' } = props;
  const said = {
    ...(props.name === undefined ? {} : { 'aria-label': props.name }),
    ...(props.expanded === undefined ? {} : { 'aria-expanded': props.expanded }),
    ...(props.pressed === undefined ? {} : { 'aria-pressed': props.pressed }),
    ...(props.describedBy === undefined ? {} : { 'aria-describedby': props.describedBy }),
  };
  const classes = ['button', `button-${kind}`, props.wide ? 'button-wide' : '', props.class ?? ''];
  return (
    <button
      type="button"
      class={classes.filter(Boolean).join(' ')}
      disabled={props.disabled ?? false}
      onClick={props.onPress}
      {...said}
    >
      {props.children}
    </button>
  );
}
