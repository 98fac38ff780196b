import { type ReactNode, useState } from 'react';
import { Form } from 'react-aria-components';
import { Button } from '../parts/Button.js';
import { Field } from '../parts/Field.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';

/** Asks for a few words that belong to an act, and then does it. */
export function ReasonSheet({
  title,
  text,
  field,
  help,
  action,
  least = 3,
  children,
  onReason,
  onClose,
}: {
  title: string;
  text?: string;
  field: string;
  help?: string;
  action: string;
  /** Letters that it takes at least. */
  least?: number;
  children?: ReactNode;
  onReason: (reason: string) => void;
  onClose: () => void;
}) {
  const [reason, setReason] = useState('');
  const given = reason.trim();
  return (
    <Sheet title={title} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (given.length < least) return;
          onClose();
          onReason(given);
        }}
      >
        {text && <p>{text}</p>}
        {children}
        <Field label={field} help={help} value={reason} onChange={setReason} lines={2} takesFocus isRequired />
        <Button look="main" type="submit" isDisabled={given.length < least}>
          {action}
        </Button>
      </Form>
    </Sheet>
  );
}
