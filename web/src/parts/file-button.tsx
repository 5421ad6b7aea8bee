import { useId } from 'preact/hooks';
import './file-button.css';

export interface FileButtonProps {
  readonly label: string;
  /** Opens the camera, and is the main thing to do here; else pictures are chosen. */
  readonly camera?: boolean;
  /** Beside a main button of its own. */
  readonly plain?: boolean;
  readonly onFiles: (files: FileList | null) => void;
}

/** A file chooser that looks and is reached as a button. */
export function FileButton(props: FileButtonProps) {
  const id = useId();
  return (
    <span class="file-button">
      <input
        id={id}
        type="file"
        // Named one by one: a phone that stores another format then hands over one of these.
        accept="image/jpeg,image/png,image/webp"
        {...(props.camera ? { capture: 'environment' as const } : { multiple: true })}
        onChange={(event) => {
          const input = event.currentTarget;
          const files = new DataTransfer();
          for (const file of input.files ?? []) files.items.add(file);
          input.value = '';
          props.onFiles(files.files);
        }}
      />
      <label
        for={id}
        class={props.camera && !props.plain ? 'button button-main' : 'button button-line'}
      >
        {props.camera && (
          <svg class="file-camera" viewBox="0 0 28 22" aria-hidden="true">
            <path d="M2 5H8L10 2H18L20 5H26V20H2ZM14 8A4.500 4.500 0 1 0 14 17A4.500 4.500 0 1 0 14 8Z" />
          </svg>
        )}
        {props.label}
      </label>
    </span>
  );
}
