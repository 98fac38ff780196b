import { useState } from 'react';
import { api, got, once } from '../api.js';
import type { NewBath } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { shortLabel } from '../parts/format.js';
import { Field } from '../parts/Field.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { ScanField } from '../parts/ScanField.js';
import { typedNumber } from '../parts/typed-number.js';
import { BATHS } from './words.js';

const words = BATHS.sheet;

/** A container that is poured from, and how much as typed. */
export interface Fill {
  id: string;
  label: string;
  /** What it holds, by its name. */
  holds: string;
  amount: string;
}

export function filledWhole(fills: readonly Fill[]): boolean {
  return fills.length > 0 && fills.every(({ amount }) => typedNumber(amount) > 0);
}

export function fillsOf(fills: readonly Fill[]): NewBath['fills'] {
  return fills.map(({ id, amount }) => ({ container: id, quantity: { value: typedNumber(amount), unit: 'mL' } }));
}

/** The containers that a bath is poured from, scanned one by one. */
export function Fills({
  wanted,
  fills,
  onChange,
}: {
  /** What stands in the bath; null while that is not chosen. */
  wanted: { code: string; name: string } | null;
  fills: readonly Fill[];
  onChange: (fills: readonly Fill[]) => void;
}) {
  const [said, setSaid] = useState<string | null>(null);
  const scan = useChange(
    (text: string, key) => got(api.POST('/api/scan', { body: { text }, ...once(key) })),
    ({ container, reagent, message }) => {
      if (!container || fills.some(({ id }) => id === container.id)) {
        setSaid(container ? null : `${words.notOne} ${message}`);
        return;
      }
      const holds = reagent?.name ?? '';
      const other = wanted && reagent && reagent.code !== wanted.code ? [words.other(holds, wanted.name)] : [];
      setSaid([...other, ...container.reasons.map((reason) => reason.message)].join('; ') || null);
      onChange([...fills, { id: container.id, label: container.label, holds, amount: '' }]);
    },
  );
  return (
    <fieldset className="bath-fills">
      <legend>{words.fills}</legend>
      {fills.map((fill) => (
        <div key={fill.id} className="bath-fill">
          <span>
            <span className="label">{shortLabel(fill.label)}</span> {fill.holds}
          </span>
          <Field
            label={words.amount}
            value={fill.amount}
            onChange={(amount) => onChange(fills.map((each) => (each.id === fill.id ? { ...each, amount } : each)))}
            inputMode="decimal"
            autoComplete="off"
          />
          <Button
            look="quiet"
            aria-label={`${words.remove}: ${fill.label}`}
            onPress={() => onChange(fills.filter(({ id }) => id !== fill.id))}
          >
            {words.remove}
          </Button>
        </div>
      ))}
      <ScanField label={words.scan} action={words.add} busy={scan.isPending} onText={scan.ask} />
      {said !== null && (
        <p role="status" className="held-note">
          {said}
        </p>
      )}
      <ProblemNote problem={scan.error} />
    </fieldset>
  );
}
