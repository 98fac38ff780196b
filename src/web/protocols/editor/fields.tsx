import { useState } from 'react';
import { Field } from '../../parts/Field.js';
import { SelectField } from '../../parts/SelectField.js';
import { typedNumber } from '../../parts/typed-number.js';
import { useFault } from './faults.js';

type Place = readonly (string | number)[];

/** A text of the draft, with what is wrong with it. */
export function TextAt({
  at,
  label,
  help,
  value,
  onChange,
  lines,
  suggestions,
}: {
  at: Place;
  label: string;
  help?: string;
  value: string;
  onChange: (value: string) => void;
  lines?: number;
  suggestions?: readonly string[];
}) {
  const error = useFault(at);
  return (
    <Field
      label={label}
      value={value}
      onChange={onChange}
      error={error}
      autoComplete="off"
      {...(help !== undefined && { help })}
      {...(lines !== undefined && { lines })}
      {...(suggestions && { suggestions })}
    />
  );
}

/** A list of short words with commas between them, as it is typed until the field is left. */
export function KeysAt({
  at,
  label,
  help,
  value,
  onChange,
}: {
  at: Place;
  label: string;
  help: string;
  value: readonly string[];
  onChange: (value: string[]) => void;
}) {
  const error = useFault(at, true);
  const [text, setText] = useState(value.join(', '));
  return (
    <Field
      label={label}
      help={help}
      value={text}
      onChange={(typed) => {
        setText(typed);
        onChange(keysIn(typed));
      }}
      error={error}
      autoComplete="off"
    />
  );
}

function keysIn(text: string): string[] {
  return text
    .split(',')
    .map((key) => key.trim())
    .filter((key) => key !== '');
}

/** A number of the draft: what is no number stays as it was typed, and is said to be none. */
export function NumberAt({
  at,
  label,
  help,
  value,
  onChange,
}: {
  at: Place;
  label: string;
  help?: string;
  value: number | string | undefined;
  onChange: (value: number | string | undefined) => void;
}) {
  const error = useFault(at);
  const [text, setText] = useState(String(value ?? ''));
  return (
    <Field
      label={label}
      value={text}
      onChange={(typed) => {
        setText(typed);
        onChange(numberIn(typed));
      }}
      error={error}
      inputMode="decimal"
      autoComplete="off"
      {...(help !== undefined && { help })}
    />
  );
}

/** Undefined for nothing; the text itself where it is no number, so that it is refused and not lost. */
function numberIn(typed: string): number | string | undefined {
  const text = typed.trim();
  if (text === '') return undefined;
  const value = typedNumber(text);
  return Number.isNaN(value) ? text : value;
}

/** One of the words that a protocol knows. */
export function ChoiceAt<T extends string>({
  at,
  label,
  value,
  onChange,
  options,
  nameOf = (id) => id,
  empty,
}: {
  at: Place;
  label: string;
  value: T | '';
  onChange: (value: T) => void;
  options: readonly T[];
  nameOf?: (id: T) => string;
  empty?: string;
}) {
  const error = useFault(at);
  return (
    <SelectField
      label={label}
      value={value}
      onChange={onChange}
      options={options.map((id) => ({ id, name: nameOf(id) }))}
      error={error}
      {...(empty !== undefined && { empty })}
    />
  );
}
