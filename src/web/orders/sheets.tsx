import { useState } from 'react';
import { Form } from 'react-aria-components';
import { SENDING_WAYS, type SendingWay } from '../../core/stock/order.js';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import type { Order } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Choice } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { Signing } from '../parts/Signing.js';
import { WORDS } from '../words.js';
import { moneyText } from './amounts.js';
import { useStockChanged } from './orders.js';
import { ORDERS } from './words.js';

interface SheetProps {
  order: Order;
  onClose: () => void;
}

/** Approves a draft; above the limit the director signs it. */
export function ApproveSheet({ order, onClose }: SheetProps) {
  const words = ORDERS.approve;
  const { may } = useSession();
  const changed = useStockChanged();
  const { id, number, version, totalCents, signedAboveCents, currency, supplierName } = order;
  const above = totalCents > signedAboveCents;
  const [password, setPassword] = useState('');
  const send = useChange(
    (body: { seen: number; password?: string }, key) =>
      got(api.POST('/api/orders/{id}/approve', { params: { path: { id } }, body, ...once(key) })),
    async () => {
      say(words.done(number));
      onClose();
      await changed();
    },
  );
  const able = !above || may('director');
  return (
    <Sheet title={words.title(number)} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          send.ask({ seen: version, ...(above && { password }) });
        }}
      >
        <p>{words.about(moneyText(totalCents, currency), supplierName)}</p>
        {above && <p className="held-note">{words.above(moneyText(signedAboveCents, currency))}</p>}
        {above && able && <Signing meaning="approval" act="order" password={password} onPassword={setPassword} />}
        {!able && <p>{words.notYou}</p>}
        <ProblemNote problem={send.error} />
        {able && (
          <Button look="main" type="submit" isDisabled={send.isPending || (above && password === '')}>
            {send.isPending ? WORDS.sending : above ? words.sign : words.action}
          </Button>
        )}
      </Form>
    </Sheet>
  );
}

/** Says that an order went to the supplier, and how. */
export function SentSheet({ order: { id, number }, onClose }: SheetProps) {
  const words = ORDERS.sent;
  const changed = useStockChanged();
  const [how, setHow] = useState<SendingWay>('e-mail');
  const [note, setNote] = useState('');
  const send = useChange(
    (body: { how: SendingWay; note?: string }, key) =>
      got(api.POST('/api/orders/{id}/sent', { params: { path: { id } }, body, ...once(key) })),
    async () => {
      say(words.done(number));
      onClose();
      await changed();
    },
  );
  return (
    <Sheet title={words.title(number)} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          send.ask({ how, ...(note.trim() !== '' && { note: note.trim() }) });
        }}
      >
        <p>{words.about}</p>
        <Choice
          label={words.how}
          options={SENDING_WAYS.map((id) => ({ id, name: words.ways[id] }))}
          value={how}
          onChange={setHow}
        />
        <Field label={words.note} help={WORDS.optional} value={note} onChange={setNote} />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={send.isPending}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}

/** Cancels an order of which nothing came, or closes one of which the rest will not come. */
export function EndSheet({ order: { id, number }, way, onClose }: SheetProps & { way: 'cancel' | 'close' }) {
  const words = ORDERS.end;
  const changed = useStockChanged();
  const [reason, setReason] = useState('');
  const send = useChange(
    (body: { reason: string }, key) => {
      const asked = { params: { path: { id } }, body, ...once(key) };
      return got(
        way === 'cancel' ? api.POST('/api/orders/{id}/cancel', asked) : api.POST('/api/orders/{id}/close', asked),
      );
    },
    async () => {
      say(words.done(number));
      onClose();
      await changed();
    },
  );
  return (
    <Sheet title={words[way](number)} onClose={onClose} closeWord={WORDS.goBack}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          send.ask({ reason: reason.trim() });
        }}
      >
        <Field label={words.reason} value={reason} onChange={setReason} lines={2} isRequired />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={send.isPending || reason.trim() === ''}>
          {send.isPending ? WORDS.sending : way === 'cancel' ? words.cancelAction : words.closeAction}
        </Button>
      </Form>
    </Sheet>
  );
}
