import { useState } from 'react';
import { Form } from 'react-aria-components';
import { FORECAST_CHOICES, type ForecastChoice, USUAL_POLICY } from '../../core/stock/outlook-facts.js';
import { api, got, once } from '../api.js';
import type { StockPolicy } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { typed } from './amounts.js';
import { useProducts, useStockChanged, useStockPolicies } from './orders.js';
import { ORDERS } from './words.js';

const words = ORDERS.policy;

/** Sets how a reagent is kept in stock. */
export function PolicySheet({ reagent, name, onClose }: { reagent: string; name: string; onClose: () => void }) {
  const { data, error, refetch } = useStockPolicies();
  return (
    <Sheet title={words.title(name)} onClose={onClose} closeWord={WORDS.cancel}>
      <p>{words.about}</p>
      {data ? (
        <PolicyForm
          reagent={reagent}
          name={name}
          policy={data.find((each) => each.reagent === reagent) ?? { ...USUAL_POLICY }}
          onClose={onClose}
        />
      ) : (
        <Waiting error={error} onRetry={() => void refetch()} />
      )}
    </Sheet>
  );
}

type Known = Omit<StockPolicy, 'reagent' | 'at'>;

const FIELDS = [
  ['coverDays', words.coverDays],
  ['reviewDays', words.reviewDays],
  ['acceptanceDays', words.acceptanceDays],
] as const;

function PolicyForm({
  reagent,
  name,
  policy,
  onClose,
}: {
  reagent: string;
  name: string;
  policy: Known;
  onClose: () => void;
}) {
  const changed = useStockChanged();
  const products = (useProducts().data ?? []).filter((each) => each.reagent === reagent && each.offered);
  const [level, setLevel] = useState(String(Math.round(policy.serviceLevel * 1e4) / 100));
  const [days, setDays] = useState({
    coverDays: String(policy.coverDays),
    reviewDays: String(policy.reviewDays),
    acceptanceDays: String(policy.acceptanceDays),
  });
  const [method, setMethod] = useState<ForecastChoice>(policy.method);
  const [alpha, setAlpha] = useState(String(policy.alpha));
  const [beta, setBeta] = useState(String(policy.beta));
  const [product, setProduct] = useState(policy.product ?? '');
  const send = useChange(
    (body: Known, key) =>
      got(api.POST('/api/stock-policies/{reagent}', { params: { path: { reagent } }, body, ...once(key) })),
    async () => {
      say(words.done(name));
      onClose();
      await changed();
    },
  );
  const numbers = [level, days.coverDays, days.reviewDays, days.acceptanceDays, alpha, beta].map(typed);
  const whole = numbers.every((value) => value !== null);
  return (
    <Form
      className="form"
      onSubmit={(event) => {
        event.preventDefault();
        const [share, coverDays, reviewDays, acceptanceDays, first, second] = numbers as [
          number,
          number,
          number,
          number,
          number,
          number,
        ];
        if (!whole) return;
        send.ask({
          serviceLevel: share / 100,
          coverDays,
          reviewDays,
          acceptanceDays,
          method,
          alpha: first,
          beta: second,
          ...(product !== '' && { product }),
        });
      }}
    >
      <Field
        label={words.serviceLevel}
        help={words.serviceLevelHelp}
        value={level}
        onChange={setLevel}
        inputMode="decimal"
      />
      {FIELDS.map(([field, label]) => (
        <Field
          key={field}
          label={label}
          value={days[field]}
          onChange={(value) => setDays({ ...days, [field]: value })}
          inputMode="decimal"
        />
      ))}
      <SelectField
        label={words.method}
        value={method}
        onChange={setMethod}
        options={FORECAST_CHOICES.map((id) => ({ id, name: words.choices[id] }))}
      />
      <Field label={words.alpha} help={words.weightHelp} value={alpha} onChange={setAlpha} inputMode="decimal" />
      <Field label={words.beta} help={words.weightHelp} value={beta} onChange={setBeta} inputMode="decimal" />
      <SelectField
        label={words.product}
        value={product}
        onChange={setProduct}
        options={[{ id: '', name: words.cheapest }, ...products.map((each) => ({ id: each.code, name: each.name }))]}
      />
      <ProblemNote problem={send.error} />
      <Button look="main" type="submit" isDisabled={send.isPending || !whole}>
        {send.isPending ? WORDS.sending : words.action}
      </Button>
    </Form>
  );
}
