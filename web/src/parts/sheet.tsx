import type { ComponentChildren } from 'preact';
import { useEffect, useId, useRef } from 'preact/hooks';
import { t } from '../words/words.ts';
import './sheet.css';

export interface SheetProps {
  /** Said when the sheet comes up; shown as its heading unless the content has its own. */
  name: string;
  nameShown?: boolean;
  onClose: () => void;
  /**
   * Modal stops the page behind it. Not modal leaves it in reach: with the tape up, the drawing's
   * other dimensions can still be touched.
   */
  modal?: boolean;
  children: ComponentChildren;
}

/**
 * One screen, shared: what is worked on above (or left), and a sheet that is not modal under it (or
 * at its right). The first child takes the room the sheet leaves.
 */
export function Worktop(props: { children: ComponentChildren }) {
  return <main class="worktop">{props.children}</main>;
}

/** A sheet under the thumb; on a wide screen it docks at the right. Escape closes it. */
export function Sheet(props: SheetProps) {
  const dialog = useRef<HTMLDialogElement>(null);
  const id = useId();
  const { modal = false, onClose } = props;
  const close = useRef(onClose);
  close.current = onClose;

  useEffect(() => {
    const box = dialog.current;
    if (box === null) return;
    const before = document.activeElement;
    if (modal) box.showModal();
    else box.show();
    // Not its first button: a sheet that comes up under a moving thumb must not be one tap from gone.
    box.focus({ preventScroll: true });
    return () => {
      box.close();
      if (before instanceof HTMLElement && before.isConnected) before.focus();
    };
  }, [modal]);

  return (
    <dialog
      ref={dialog}
      class="sheet"
      aria-labelledby={id}
      tabIndex={-1}
      onCancel={(event) => {
        event.preventDefault();
        close.current();
      }}
      onKeyDown={(event) => {
        if (event.key === 'Escape' && !event.defaultPrevented) {
          event.preventDefault();
          close.current();
        }
      }}
    >
      <div class="sheet-head">
        <h2 id={id} class={props.nameShown ? 'sheet-name' : 'unseen'}>
          {props.name}
        </h2>
        <button type="button" class="sheet-close" aria-label={t('action.close')} onClick={onClose}>
          <svg viewBox="0 0 48 20" aria-hidden="true">
            <path d="M6 5L24 14L42 5" />
          </svg>
        </button>
      </div>
      {props.children}
    </dialog>
  );
}
