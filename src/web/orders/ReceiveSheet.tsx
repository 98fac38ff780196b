import { useState } from 'react';
import { Form } from 'react-aria-components';
import { api, got, once } from '../api.js';
import type { Order, Scanned } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Choice } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { ScanField } from '../parts/ScanField.js';
import { SelectField } from '../parts/SelectField.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { typed } from './amounts.js';
import { useProducts, useStockChanged } from './orders.js';
import { ORDERS } from './words.js';

const words = ORDERS.receive;
type Way = keyof typeof words.ways;

/** Takes what came on a line into stock, or keeps that it was sent back. */
export function ReceiveSheet({ order, index, onClose }: { order: Order; index: number; onClose: () => void }) {
  const line = order.lines[index] as Order['lines'][number];
  const changed = useStockChanged();
  const others = (useProducts().data ?? []).filter(
    ({ code, supplier }) => code !== line.product && supplier === order.supplier,
  );
  const [way, setWay] = useState<Way>('in');
  const [product, setProduct] = useState(line.product);
  const [number, setNumber] = useState('');
  const [expiry, setExpiry] = useState('');
  const [count, setCount] = useState(String(Math.max(1, line.open)));
  const [serials, setSerials] = useState<readonly string[]>([]);
  const [reason, setReason] = useState('');
  const [said, setSaid] = useState<string | null>(null);

  const read = ({ gs1 }: Scanned): void => {
    if (!gs1) return setSaid(words.notGs1);
    if (gs1.lot !== undefined && number !== '' && gs1.lot !== number) return setSaid(words.otherLot(number, gs1.lot));
    if (gs1.lot !== undefined) setNumber(gs1.lot);
    if (gs1.expiry !== undefined) setExpiry(gs1.expiry);
    const { serial } = gs1;
    if (serial !== undefined && !serials.includes(serial)) {
      setSerials([...serials, serial]);
      setCount(String(serials.length + 1));
    }
    setSaid(words.read);
  };
  const scan = useChange(
    (text: string, key) => got(api.POST('/api/scan', { body: { text }, ...once(key) })),
    (scanned) => read(scanned),
  );
  const containers = typed(count) ?? 0;
  const counted = Number.isInteger(containers) && containers >= 1;
  const send = useChange(
    (_: null, key) => {
      const came = {
        line: index,
        ...(product !== line.product && { product }),
        number: number.trim(),
        ...(expiry.trim() !== '' && { expiry: expiry.trim() }),
      };
      const why = reason.trim();
      const path = { params: { path: { id: order.id } }, ...once(key) };
      if (way === 'refuse') {
        return got(api.POST('/api/orders/{id}/refusals', { body: { ...came, containers, reason: why }, ...path }));
      }
      const boxes = Array.from({ length: containers }, (_each, n) => {
        const serial = serials[n];
        return serial === undefined ? {} : { serial };
      });
      const body = { ...came, containers: boxes, ...(why !== '' && { reason: why }) };
      return got(api.POST('/api/orders/{id}/receipts', { body, ...path }));
    },
    async () => {
      say(way === 'refuse' ? words.refused : words.done);
      onClose();
      await changed();
    },
  );
  const whole = number.trim() !== '' && counted && (way === 'in' ? expiry.trim() !== '' : reason.trim() !== '');
  return (
    <Sheet title={words.title(line.name)} onClose={onClose} closeWord={WORDS.cancel}>
      <p>{words.about}</p>
      <ScanField label={words.scan} action={words.take} busy={scan.isPending} onText={scan.ask} />
      <ProblemNote problem={scan.error} />
      {said !== null && <p role="status">{said}</p>}
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (whole) send.ask(null);
        }}
      >
        <Choice
          label={words.way}
          options={(['in', 'refuse'] as const).map((id) => ({ id, ...words.ways[id] }))}
          value={way}
          onChange={setWay}
        />
        <SelectField
          label={words.product}
          value={product}
          onChange={setProduct}
          options={[
            { id: line.product, name: `${line.name}, ${words.asOrdered}` },
            ...others.map(({ code, name }) => ({ id: code, name })),
          ]}
        />
        <Field label={words.number} help={words.numberHelp} value={number} onChange={setNumber} isRequired />
        <Field label={words.expiry} help={words.expiryHelp} value={expiry} onChange={setExpiry} />
        <Field
          label={words.count}
          help={words.countHelp(line.open)}
          error={count !== '' && !counted ? words.notCount : undefined}
          value={count}
          onChange={setCount}
          inputMode="numeric"
        />
        {serials.length > 0 && <p className="small">{words.serials(serials.join(', '))}</p>}
        <Field
          label={way === 'in' ? words.reason : words.refuseReason}
          help={way === 'in' ? words.reasonHelp : undefined}
          value={reason}
          onChange={setReason}
          lines={2}
        />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={send.isPending || !whole}>
          {send.isPending ? WORDS.sending : way === 'in' ? words.action : words.refuse}
        </Button>
      </Form>
    </Sheet>
  );
}
