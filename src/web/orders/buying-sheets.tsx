import { useState } from 'react';
import { Form } from 'react-aria-components';
import { api, got, once } from '../api.js';
import type { Buying, Product, Supplier } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Tick } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { Sheet } from '../parts/Sheet.js';
import { useReagents } from '../stock/stock.js';
import { WORDS } from '../words.js';
import { typed } from './amounts.js';
import { useStockChanged, useSuppliers } from './orders.js';
import { ORDERS } from './words.js';

const words = ORDERS.buying;

function useSaved(name: string, onClose: () => void): () => Promise<void> {
  const changed = useStockChanged();
  return async () => {
    say(words.saved(name));
    onClose();
    await changed();
  };
}

/** Writes a supplier down, or anew. */
export function SupplierSheet({ supplier, onClose }: { supplier: Supplier | null; onClose: () => void }) {
  const [code, setCode] = useState(supplier?.code ?? '');
  const [name, setName] = useState(supplier?.name ?? '');
  const [address, setAddress] = useState(supplier?.address ?? '');
  const [email, setEmail] = useState(supplier?.email ?? '');
  const [customerNumber, setCustomerNumber] = useState(supplier?.customerNumber ?? '');
  const [approved, setApproved] = useState(supplier?.approved ?? false);
  const send = useChange(
    (_: null, key) =>
      got(
        api.POST('/api/suppliers', {
          body: {
            code: code.trim(),
            name: name.trim(),
            ...(address.trim() !== '' && { address: address.trim() }),
            ...(email.trim() !== '' && { email: email.trim() }),
            ...(customerNumber.trim() !== '' && { customerNumber: customerNumber.trim() }),
            approved,
          },
          ...once(key),
        }),
      ),
    useSaved(name, onClose),
  );
  return (
    <Sheet
      title={supplier ? words.changeOne(supplier.name) : words.addSupplier}
      onClose={onClose}
      closeWord={WORDS.cancel}
    >
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          send.ask(null);
        }}
      >
        {!supplier && <Field label={words.code} help={words.codeHelp} value={code} onChange={setCode} isRequired />}
        <Field label={words.name} value={name} onChange={setName} isRequired />
        <Field label={words.address} help={WORDS.optional} value={address} onChange={setAddress} lines={3} />
        <Field label={words.email} help={WORDS.optional} type="email" value={email} onChange={setEmail} />
        <Field label={words.customerNumber} help={WORDS.optional} value={customerNumber} onChange={setCustomerNumber} />
        <Tick on={approved} onChange={setApproved}>
          {words.approved}
        </Tick>
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={send.isPending || code.trim() === '' || name.trim() === ''}>
          {send.isPending ? WORDS.sending : words.save}
        </Button>
      </Form>
    </Sheet>
  );
}

/** The fields of a product that are typed as text, in the order of the sheet. */
const TEXTS = [
  ['name', words.name, {}],
  ['itemNumber', words.itemNumber, {}],
  ['gtin', words.gtin, { help: WORDS.optional, inputMode: 'numeric' }],
  ['containers', words.containers, { inputMode: 'numeric' }],
  ['amount', words.amount, { inputMode: 'decimal' }],
  ['unit', words.unit, { help: words.unitHelp }],
  ['price', words.price, { inputMode: 'decimal' }],
  ['minimumPacks', words.minimumPacks, { inputMode: 'numeric' }],
  ['leadDays', words.leadDays, { inputMode: 'decimal' }],
  ['leadSdDays', words.leadSd, { help: words.leadSdHelp, inputMode: 'decimal' }],
  ['shelfLifeDays', words.life, { help: WORDS.optional, inputMode: 'numeric' }],
] as const;
type TextName = (typeof TEXTS)[number][0];

/** Writes a product down, or anew. */
export function ProductSheet({ product, onClose }: { product: Product | null; onClose: () => void }) {
  const suppliers = useSuppliers().data ?? [];
  const reagents = (useReagents().data ?? []).filter(({ kind }) => kind !== 'water');
  const [code, setCode] = useState(product?.code ?? '');
  const [supplier, setSupplier] = useState(product?.supplier ?? '');
  const [reagent, setReagent] = useState(product?.reagent ?? '');
  const [offered, setOffered] = useState(product?.offered ?? true);
  const [texts, setTexts] = useState<Record<TextName, string>>({
    name: product?.name ?? '',
    itemNumber: product?.itemNumber ?? '',
    gtin: product?.gtin ?? '',
    containers: String(product?.containers ?? 1),
    amount: product ? String(product.amount.value) : '',
    unit: product?.amount.unit ?? 'mL',
    price: product ? String(product.priceCents / 100) : '',
    minimumPacks: String(product?.minimumPacks ?? 1),
    leadDays: product ? String(product.leadDays) : '',
    leadSdDays: String(product?.leadSdDays ?? 0),
    shelfLifeDays: product?.shelfLifeDays == null ? '' : String(product.shelfLifeDays),
  });
  const numbers = (['containers', 'amount', 'price', 'minimumPacks', 'leadDays', 'leadSdDays'] as const).map((name) =>
    typed(texts[name]),
  );
  const life = typed(texts.shelfLifeDays);
  const whole =
    [code, supplier, reagent, texts.name, texts.itemNumber].every((text) => text.trim() !== '') &&
    numbers.every((each) => each !== null) &&
    (texts.shelfLifeDays.trim() === '' || life !== null);
  const send = useChange(
    (_: null, key) => {
      const [containers, amount, price, minimumPacks, leadDays, leadSdDays] = numbers.map((each) => each ?? 0) as [
        number,
        number,
        number,
        number,
        number,
        number,
      ];
      return got(
        api.POST('/api/products', {
          body: {
            code: code.trim(),
            supplier,
            reagent,
            itemNumber: texts.itemNumber.trim(),
            name: texts.name.trim(),
            ...(texts.gtin.trim() !== '' && { gtin: texts.gtin.trim() }),
            containers,
            amount: { value: amount, unit: texts.unit.trim() },
            priceCents: Math.round(price * 100),
            minimumPacks,
            leadDays,
            leadSdDays,
            ...(life !== null && { shelfLifeDays: life }),
            offered,
          },
          ...once(key),
        }),
      );
    },
    useSaved(texts.name, onClose),
  );
  return (
    <Sheet
      title={product ? words.changeOne(product.name) : words.addProduct}
      onClose={onClose}
      closeWord={WORDS.cancel}
    >
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (whole) send.ask(null);
        }}
      >
        {!product && <Field label={words.code} help={words.codeHelp} value={code} onChange={setCode} isRequired />}
        <SelectField
          label={words.supplier}
          value={supplier}
          empty={ORDERS.draft.choose}
          onChange={setSupplier}
          options={suppliers.map((each) => ({ id: each.code, name: each.name }))}
        />
        <SelectField
          label={words.reagent}
          value={reagent}
          empty={ORDERS.draft.choose}
          onChange={setReagent}
          options={reagents
            .map((each) => ({ id: each.code, name: each.name }))
            .sort((a, b) => a.name.localeCompare(b.name))}
        />
        {TEXTS.map(([name, label, more]) => (
          <Field
            key={name}
            label={label}
            value={texts[name]}
            onChange={(value) => setTexts({ ...texts, [name]: value })}
            autoComplete="off"
            {...more}
          />
        ))}
        <Tick on={offered} onChange={setOffered}>
          {words.offered}
        </Tick>
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={send.isPending || !whole}>
          {send.isPending ? WORDS.sending : words.save}
        </Button>
      </Form>
    </Sheet>
  );
}

/** Sets the currency, the limit above which the director signs, and where deliveries go. */
export function RulesSheet({ rules, onClose }: { rules: Buying; onClose: () => void }) {
  const [currency, setCurrency] = useState(rules.currency);
  const [limit, setLimit] = useState(String(rules.signedAboveCents / 100));
  const [deliverTo, setDeliverTo] = useState(rules.deliverTo ?? '');
  const above = typed(limit);
  const send = useChange(
    (signedAboveCents: number, key) =>
      got(
        api.POST('/api/buying', {
          body: {
            currency: currency.trim(),
            signedAboveCents,
            ...(deliverTo.trim() !== '' && { deliverTo: deliverTo.trim() }),
          },
          ...once(key),
        }),
      ),
    useSaved(words.rules, onClose),
  );
  return (
    <Sheet title={words.setRules} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (above !== null) send.ask(Math.round(above * 100));
        }}
      >
        <Field label={words.currency} help={words.currencyHelp} value={currency} onChange={setCurrency} isRequired />
        <Field
          label={words.limit}
          help={words.limitHelp}
          value={limit}
          onChange={setLimit}
          inputMode="decimal"
          error={above === null ? words.notNumber : undefined}
        />
        <Field label={words.deliverTo} help={words.deliverToHelp} value={deliverTo} onChange={setDeliverTo} lines={3} />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={send.isPending || above === null}>
          {send.isPending ? WORDS.sending : words.save}
        </Button>
      </Form>
    </Sheet>
  );
}
