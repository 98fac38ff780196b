import { type KeyboardEvent, lazy, type ReactNode, Suspense, useState } from 'react';
import { Form } from 'react-aria-components';
import { CAMERA } from '../camera/words.js';
import { Button } from './Button.js';
import { Field } from './Field.js';
import { GROUP_SEPARATOR, keyOf } from './scan.js';

const CameraSheet = lazy(() => import('../camera/CameraSheet.js'));

/** A field into which a label is scanned, by hand scanner or camera, or typed; Enter, which a scanner sends, takes it. */
export function ScanField({
  label,
  help,
  action,
  error,
  busy = false,
  onText,
}: {
  label: string;
  help?: ReactNode;
  /** Word of the button that takes what was typed. */
  action: string;
  error?: string | undefined;
  busy?: boolean;
  onText: (text: string) => void;
}) {
  const [text, setText] = useState('');
  const [looking, setLooking] = useState(false);
  /** A browser writes nothing for the keys with which a scanner sends the separator. */
  const separate = (event: KeyboardEvent<Element>): void => {
    if (!(event.target instanceof HTMLInputElement) || keyOf(event) !== GROUP_SEPARATOR) return;
    event.preventDefault();
    event.target.setRangeText(GROUP_SEPARATOR, event.target.selectionStart ?? 0, event.target.selectionEnd ?? 0, 'end');
    setText(event.target.value);
  };
  return (
    <Form
      className="scan-field"
      onSubmit={(event) => {
        event.preventDefault();
        const taken = text.trim();
        if (taken === '') return;
        setText('');
        // The next one is scanned or typed into the same field; the button that was pressed has nothing to do before.
        event.currentTarget.querySelector('input')?.focus();
        onText(taken);
      }}
    >
      <Field
        label={label}
        help={help}
        error={error}
        value={text}
        onChange={setText}
        onKeyDown={separate}
        autoComplete="off"
        spellCheck="false"
      />
      <Button type="submit" isDisabled={busy || text.trim() === ''}>
        {action}
      </Button>
      <Button look="quiet" isDisabled={busy} aria-label={CAMERA.openFor(label)} onPress={() => setLooking(true)}>
        {CAMERA.open}
      </Button>
      {looking && (
        <Suspense>
          <CameraSheet onText={onText} onClose={() => setLooking(false)} />
        </Suspense>
      )}
    </Form>
  );
}
