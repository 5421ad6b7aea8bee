import type { ComponentChildren } from 'preact';
import { t } from '../words/words.ts';
import './rail.css';

export interface TopBarProps {
  title: string;
  /** Where back goes; on a phone it stands at the bottom, in the thumb's reach. */
  back?: { href: string; label: string };
  /** A short state at the right: "3 entries not sent". */
  children?: ComponentChildren;
}

/** The place's name, and what the person should know about the place. Nothing to reach for. */
export function TopBar(props: TopBarProps) {
  return (
    <header class={props.children === undefined ? 'topbar' : 'topbar topbar-stated'}>
      <h1 class="topbar-title">{props.title}</h1>
      {props.children !== undefined && <div class="topbar-state">{props.children}</div>}
      {props.back !== undefined && (
        <a class="topbar-back" href={props.back.href}>
          <svg viewBox="0 0 20 20" aria-hidden="true">
            <path d="M13 3L6 10L13 17" />
          </svg>
          <span>
            <span class="unseen">{t('action.back')}: </span>
            {props.back.label}
          </span>
        </a>
      )}
    </header>
  );
}

export interface RailPlace {
  href: string;
  label: string;
  here: boolean;
}

/** The few places a person moves between: along the bottom of a phone, down the left of a desk. */
export function Rail(props: { label: string; places: readonly RailPlace[] }) {
  return (
    <nav class="rail" aria-label={props.label}>
      <ul class="rail-places">
        {props.places.map((place) => (
          <li key={place.href}>
            <a
              class="rail-place"
              href={place.href}
              {...(place.here ? { 'aria-current': 'page' as const } : {})}
            >
              {place.label}
            </a>
          </li>
        ))}
      </ul>
    </nav>
  );
}
