import { type KeyboardEvent, type ReactNode, useState } from 'react';
import { Form } from 'react-aria-components';
import { Button } from './Button.js';
import { Field } from './Field.js';
import { GROUP_SEPARATOR, keyOf } from './scan.js';

/** A field into which a label is scanned or typed; Enter, which a scanner sends, takes it. */
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
    </Form>
  );
}
