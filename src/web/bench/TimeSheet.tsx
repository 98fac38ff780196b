import { useState } from 'react';
import { Form } from 'react-aria-components';
import { useSession } from '../app/session.js';
import { Button } from '../parts/Button.js';
import { Field } from '../parts/Field.js';
import { asLocal } from '../parts/format.js';
import { Sheet } from '../parts/Sheet.js';
import { TimeField } from '../parts/TimeField.js';
import { WORDS } from '../words.js';
import { BENCH } from './words.js';

const words = BENCH.log;

/** When something really happened, as a person knows it, and why it was told otherwise. */
export interface ToldTime {
  at: string;
  uncertaintyMs: number;
  reason: string;
}

/** Asks when something really happened and how sure that is. */
export function TimeSheet({
  what,
  at,
  onTime,
  onClose,
}: {
  what: string;
  /** The time that it has so far. */
  at: string;
  onTime: (time: ToldTime) => void;
  onClose: () => void;
}) {
  const { format } = useSession();
  const [local, setLocal] = useState(asLocal(at));
  const [sure, setSure] = useState('30');
  const [reason, setReason] = useState('');
  const ms = Date.parse(local);
  const badTime = Number.isNaN(ms);
  const seconds = Number(sure);
  const badSure = sure.trim() === '' || !Number.isFinite(seconds) || seconds < 0;
  const wrong = badTime || badSure || reason.trim().length < 3;
  return (
    <Sheet title={words.correctTitle} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(submitted) => {
          submitted.preventDefault();
          if (wrong) return;
          onTime({
            at: new Date(ms).toISOString(),
            uncertaintyMs: Math.round(seconds * 1000),
            reason: reason.trim(),
          });
          onClose();
        }}
      >
        <p>
          {what}. {words.correctNow(format.clock(at))}.
        </p>
        <TimeField label={words.date} error={badTime ? words.dateError : undefined} value={local} onChange={setLocal} />
        <Field
          label={words.sure}
          help={words.sureHelp}
          value={sure}
          onChange={setSure}
          inputMode="decimal"
          isInvalid={badSure}
          isRequired
        />
        <Field label={words.reason} help={words.reasonHelp} value={reason} onChange={setReason} lines={2} isRequired />
        <Button look="main" type="submit" isDisabled={wrong}>
          {words.correctAction}
        </Button>
      </Form>
    </Sheet>
  );
}
