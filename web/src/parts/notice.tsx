import type { ComponentChildren } from 'preact';
import { Words } from './fraction.tsx';
import './notice.css';

export type NoticeKind = 'empty' | 'waiting' | 'offline' | 'refused' | 'gone';

export interface NoticeProps {
  kind: NoticeKind;
  /** What is so, in one sentence. */
  sentence: string;
  /** What it means for the work. */
  more?: string;
  /** What to do about it: one or two buttons or links. */
  children?: ComponentChildren;
  /** In a row above other content, instead of filling the screen. */
  slim?: boolean;
}

/**
 * The screens where there is nothing to show yet, or nothing can be. Each has a drawing from the
 * site and a sentence; a wait is never a bare spinner.
 */
export function Notice(props: NoticeProps) {
  const { kind } = props;
  return (
    <section
      class={`notice notice-${kind} ${props.slim ? 'notice-slim' : ''}`}
      role={kind === 'refused' ? 'alert' : 'status'}
    >
      <svg class="notice-drawing" viewBox="0 0 160 112" aria-hidden="true">
        {drawings[kind]}
      </svg>
      <div class="notice-words">
        <p class="notice-sentence">
          <Words>{props.sentence}</Words>
        </p>
        {props.more !== undefined && (
          <p class="notice-more">
            <Words>{props.more}</Words>
          </p>
        )}
        {props.children !== undefined && <div class="notice-actions">{props.children}</div>}
      </div>
    </section>
  );
}

const floor = <path class="draw-floor" d="M4 100H156" />;

const drawings: Readonly<Record<NoticeKind, ComponentChildren>> = {
  // a pair of sawhorses with nothing across them
  empty: (
    <>
      {floor}
      <path
        class="draw-line"
        d="M22 52H70M28 52L20 100M64 52L72 100M34 52L30 100M58 52L62 100M26 78H67"
      />
      <path
        class="draw-line"
        d="M92 52H140M98 52L90 100M134 52L142 100M104 52L100 100M128 52L132 100M96 78H137"
      />
      <path class="draw-faint" d="M10 44H150" />
    </>
  ),
  // a stack of marked stock by the door, not carried out yet
  waiting: (
    <>
      {floor}
      <path class="draw-line" d="M18 88H118V98H18ZM26 76H126V86H26ZM20 64H108V74H20Z" />
      <path class="draw-mark" d="M40 64V74M62 76V86M52 88V98" />
      <path class="draw-line" d="M134 100V20H156" />
      <path class="draw-faint" d="M112 58H130M124 52L130 58L124 64" />
    </>
  ),
  // the basement stair
  offline: (
    <>
      <path class="draw-line" d="M6 24H46V43H66V62H86V81H106V100H156" />
      <path class="draw-faint" d="M6 6L46 6L112 68M46 6V24" />
      <path
        class="draw-mark"
        d="M128 84A12 12 0 0 1 144 84M132.500 90A5.500 5.500 0 0 1 139.500 90M122 96L150 74"
      />
    </>
  ),
  // a frame that does not close
  refused: (
    <>
      {floor}
      <path class="draw-line" d="M48 100V18H112V100M58 100V28H102V100" />
      <path class="draw-line" d="M60 99V33L108 30V98" />
      <path class="draw-notch" d="M134 46L106 62L134 78Z" />
    </>
  ),
  // where a door was
  gone: (
    <>
      {floor}
      <path class="draw-line" d="M46 100V16H114V100" />
      <path class="draw-faint" d="M56 100V26H104V100" />
      <path class="draw-line" d="M56 42H50M56 50H50M56 80H50M56 88H50" />
    </>
  ),
};
