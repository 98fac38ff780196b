import { useState } from 'react';
import { Form } from 'react-aria-components';
import { navigate } from '../app/router.js';
import { api, got, once } from '../api.js';
import type { Order } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { moneyText, typed } from './amounts.js';
import { useBuying, useProducts, useStockChanged, useSuppliers } from './orders.js';
import { ORDERS } from './words.js';

const words = ORDERS.draft;

interface DraftLine {
  product: string;
  packs: string;
}

/** Drafts an order by hand, or writes the lines of a draft anew. */
export function DraftSheet({ order, onClose }: { order?: Order; onClose: () => void }) {
  const changed = useStockChanged();
  const suppliers = useSuppliers().data ?? [];
  const all = useProducts().data ?? [];
  const currency = useBuying().data?.currency ?? 'EUR';
  const [supplier, setSupplier] = useState(order?.supplier ?? '');
  const [lines, setLines] = useState<readonly DraftLine[]>(
    order?.lines.map(({ product, packs }) => ({ product, packs: String(packs) })) ?? [{ product: '', packs: '1' }],
  );
  const [wantedBy, setWantedBy] = useState(order?.wantedBy ?? '');
  const products = all.filter((each) => each.supplier === supplier && each.offered);
  const wanted = lines.flatMap(({ product, packs }) => {
    const count = typed(packs);
    return product === '' || count === null ? [] : [{ product, packs: count }];
  });
  const total = wanted.reduce(
    (sum, { product, packs }) => sum + packs * (products.find(({ code }) => code === product)?.priceCents ?? 0),
    0,
  );
  const send = useChange(
    (body: { lines: { product: string; packs: number }[]; wantedBy?: string }, key) =>
      order
        ? got(
            api.POST('/api/orders/{id}/lines', {
              params: { path: { id: order.id } },
              body: { seen: order.version, ...body },
              ...once(key),
            }),
          )
        : got(api.POST('/api/orders', { body: { supplier, ...body }, ...once(key) })),
    async ({ id, number }) => {
      say(ORDERS.list.drafted(number));
      onClose();
      await changed();
      navigate(`/stock/orders/${id}`);
    },
  );
  const set = (index: number, change: Partial<DraftLine>): void =>
    setLines(lines.map((line, n) => (n === index ? { ...line, ...change } : line)));
  return (
    <Sheet title={order ? words.edit(order.number) : words.title} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (wanted.length === lines.length) send.ask({ lines: wanted, ...(wantedBy !== '' && { wantedBy }) });
        }}
      >
        {!order && (
          <SelectField
            label={words.supplier}
            value={supplier}
            empty={words.choose}
            onChange={(code) => {
              setSupplier(code);
              setLines([{ product: '', packs: '1' }]);
            }}
            options={suppliers.map(({ code, name }) => ({ id: code, name }))}
          />
        )}
        {supplier !== '' && products.length === 0 && <p>{words.noProducts}</p>}
        {products.length > 0 &&
          lines.map((line, index) => (
            <div key={index} className="draft-line">
              <SelectField
                label={words.product}
                value={line.product}
                empty={words.choose}
                onChange={(product) => set(index, { product })}
                options={products.map(({ code, name }) => ({ id: code, name }))}
              />
              <Field
                label={words.packs}
                value={line.packs}
                onChange={(packs) => set(index, { packs })}
                inputMode="numeric"
              />
              {lines.length > 1 && (
                <Button look="quiet" onPress={() => setLines(lines.filter((_, n) => n !== index))}>
                  {words.remove}
                </Button>
              )}
            </div>
          ))}
        {products.length > lines.length && (
          <div>
            <Button onPress={() => setLines([...lines, { product: '', packs: '1' }])}>{words.add}</Button>
          </div>
        )}
        <Field label={words.wantedBy} help={words.wantedByHelp} type="date" value={wantedBy} onChange={setWantedBy} />
        <p className="figures">{words.total(moneyText(total, currency))}</p>
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={send.isPending || wanted.length < lines.length}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}
