import { useId } from 'react';
import './file-way.css';

/** A file that is chosen or photographed: a button of full size, without the browser's own words and button beside it. */
export function FileWay({
  word,
  onFile,
  ...rest
}: {
  word: string;
  onFile: (file: File) => void;
  accept: string;
  /** Opens the camera where there is one. */
  capture?: 'environment';
  disabled?: boolean;
  'aria-describedby'?: string;
}) {
  const id = useId();
  return (
    <span className="file-way">
      <label htmlFor={id} className="button button-plain">
        {word}
      </label>
      <input
        {...rest}
        id={id}
        type="file"
        onChange={({ target }) => {
          const [file] = target.files ?? [];
          // So that the same file can be chosen again, once it is mended.
          target.value = '';
          if (file) onFile(file);
        }}
      />
    </span>
  );
}
