import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { api, got, once, Problem } from '../api.js';
import { useCatalogue } from '../bench/bench.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { shortLabel, unitText } from '../parts/format.js';
import { say } from '../parts/notices.js';
import { Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { typedNumber } from '../parts/typed-number.js';
import { useLot, useReagents } from '../stock/stock.js';
import { WORDS } from '../words.js';
import { changeText } from './ledger.js';
import { LEDGER_WORDS } from './words.js';

const words = LEDGER_WORDS.counts.sheet;

/** Asks what is in a container before it tells what the ledger says, so that nobody counts what is expected. */
export function CountSheet({ id, onClose }: { id: string; onClose: () => void }) {
  const container = useQuery({
    queryKey: ['stock', 'container', id],
    queryFn: () => got(api.GET('/api/containers/{id}', { params: { path: { id } } })),
  });
  if (!container.data) {
    return (
      <Sheet title={LEDGER_WORDS.counts.count} onClose={onClose} closeWord={WORDS.cancel}>
        <Waiting error={container.error} onRetry={() => void container.refetch()} />
      </Sheet>
    );
  }
  return <Asking container={container.data} onClose={onClose} />;
}

function Asking({
  container: { id, label, lotId },
  onClose,
}: {
  container: { id: string; label: string; lotId: string };
  onClose: () => void;
}) {
  const queries = useQueryClient();
  const { name } = useCatalogue();
  const reagent = useLot(lotId).data?.reagent;
  const { data: reagents } = useReagents();
  const unit = reagents?.find(({ code }) => code === reagent)?.unit ?? 'mL';
  const [amount, setAmount] = useState('');
  const [reason, setReason] = useState('');
  const value = typedNumber(amount);
  const send = useChange(
    (body: { amount: { value: number; unit: string }; reason?: string }, key) =>
      got(api.POST('/api/containers/{id}/count', { params: { path: { id } }, body, ...once(key) })),
    async ({ variance }) => {
      const short = shortLabel(label);
      say(variance.value === 0 ? words.right(short) : words.off(short, changeText(variance)));
      onClose();
      await queries.invalidateQueries({ queryKey: ['stock'] });
    },
  );
  const differs = send.error instanceof Problem && send.error.code === 'variance-without-reason';
  const wrong = amount !== '' && !(value >= 0) ? words.notNumber : undefined;
  return (
    <Sheet title={words.title(shortLabel(label))} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (value >= 0) send.ask({ amount: { value, unit }, ...(reason.trim() !== '' && { reason: reason.trim() }) });
        }}
      >
        {reagent !== undefined && <p>{name(reagent)}</p>}
        <Field
          label={words.amount(unitText(unit))}
          help={words.amountHelp}
          error={wrong}
          value={amount}
          onChange={setAmount}
          inputMode="decimal"
          isRequired
          takesFocus
        />
        {differs && (
          <>
            <p className="held-note" role="alert">
              {send.error?.message}
            </p>
            <Field
              label={words.reason}
              help={words.reasonHelp}
              value={reason}
              onChange={setReason}
              lines={2}
              isRequired
            />
          </>
        )}
        {!differs && <ProblemNote problem={send.error} />}
        <Button
          look="main"
          type="submit"
          isDisabled={send.isPending || !(value >= 0) || reagent === undefined || !reagents}
        >
          {send.isPending ? WORDS.sending : differs ? words.again : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}
