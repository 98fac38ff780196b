import { useState } from 'react';
import { Form } from 'react-aria-components';
import { Button } from '../parts/Button.js';
import { Field } from '../parts/Field.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { OFFLINE } from './words.js';

const words = OFFLINE.panel.aside;
const SHORTEST_REASON = 3;

/** Asks why an entry cannot stand as it was made, before a note in the run takes its place. */
export function AsideSheet({
  what,
  onReason,
  onClose,
}: {
  what: string;
  onReason: (reason: string) => void;
  onClose: () => void;
}) {
  const [reason, setReason] = useState('');
  const wrong = reason.trim().length < SHORTEST_REASON;
  return (
    <Sheet title={words.title} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(submitted) => {
          submitted.preventDefault();
          if (wrong) return;
          onReason(reason.trim());
          onClose();
        }}
      >
        <p>{words.about(what)}</p>
        <Field label={words.reason} help={words.reasonHelp} value={reason} onChange={setReason} lines={2} isRequired />
        <Button look="main" type="submit" isDisabled={wrong}>
          {words.action}
        </Button>
      </Form>
    </Sheet>
  );
}
