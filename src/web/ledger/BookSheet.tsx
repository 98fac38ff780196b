import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import type { HandBooked } from '../../core/ledger/kinds.js';
import { api, got, once } from '../api.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Choice } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { shortLabel } from '../parts/format.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { typedNumber } from '../parts/typed-number.js';
import { WORDS } from '../words.js';
import { amountText, type OnHandContainer } from './ledger.js';
import { LEDGER_WORDS } from './words.js';

const words = LEDGER_WORDS.book;

/** Books by hand what was used, discarded or put right of a container. */
export function BookSheet({ container, onClose }: { container: OnHandContainer; onClose: () => void }) {
  const queries = useQueryClient();
  const { id, label, onHand } = container;
  const [kind, setKind] = useState<HandBooked>('used');
  const [amount, setAmount] = useState('');
  const [unit, setUnit] = useState(onHand?.unit ?? 'mL');
  const [reason, setReason] = useState('');
  const value = typedNumber(amount);
  const send = useChange(
    (body: { kind: HandBooked; amount: { value: number; unit: string }; reason?: string }, key) =>
      got(api.POST('/api/containers/{id}/movements', { params: { path: { id } }, body, ...once(key) })),
    async (booked) => {
      say(words.done(shortLabel(label), amountText(booked.onHand)));
      onClose();
      await queries.invalidateQueries({ queryKey: ['stock'] });
    },
  );
  const wrong = amount !== '' && Number.isNaN(value) ? words.notNumber : undefined;
  return (
    <Sheet title={words.title(shortLabel(label))} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (!Number.isNaN(value)) {
            send.ask({
              kind,
              amount: { value, unit: unit.trim() },
              ...(reason.trim() !== '' && { reason: reason.trim() }),
            });
          }
        }}
      >
        <Choice
          label={words.question}
          options={Object.entries(words.kinds).map(([each, said]) => ({ id: each as HandBooked, ...said }))}
          value={kind}
          onChange={setKind}
        />
        <div className="amount-fields">
          <Field
            label={words.amount}
            help={words.amountHelp(onHand ? amountText(onHand) : '0')}
            error={wrong}
            value={amount}
            onChange={setAmount}
            inputMode="decimal"
            isRequired
          />
          <Field label={words.unit} help={words.unitHelp} value={unit} onChange={setUnit} isRequired />
        </div>
        <Field
          label={words.reason}
          help={kind === 'used' ? WORDS.optional : words.reasonHelp}
          value={reason}
          onChange={setReason}
          lines={2}
          isRequired={kind !== 'used'}
        />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={send.isPending || Number.isNaN(value)}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}
