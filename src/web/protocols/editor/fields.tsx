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

/** A value that is read from what is typed, which stays as it was typed. */
function ReadAt<T>({
  at,
  label,
  help,
  begun,
  read,
  onChange,
  within = false,
  inputMode,
}: {
  at: Place;
  label: string;
  help?: string | undefined;
  /** What stands in the field at first. */
  begun: string;
  read: (typed: string) => T;
  onChange: (value: T) => void;
  /** Faults of single items of the value are the field's as well. */
  within?: boolean;
  inputMode?: 'decimal';
}) {
  const error = useFault(at, within);
  const [text, setText] = useState(begun);
  return (
    <Field
      label={label}
      value={text}
      onChange={(typed) => {
        setText(typed);
        onChange(read(typed));
      }}
      error={error}
      autoComplete="off"
      {...(inputMode && { inputMode })}
      {...(help !== undefined && { help })}
    />
  );
}

/** A list of short words with commas between them. */
export function KeysAt({
  value,
  ...rest
}: {
  at: Place;
  label: string;
  help: string;
  value: readonly string[];
  onChange: (value: string[]) => void;
}) {
  return <ReadAt {...rest} begun={value.join(', ')} read={keysIn} within />;
}

function keysIn(text: string): string[] {
  return text
    .split(',')
    .map((key) => key.trim())
    .filter((key) => key !== '');
}

/** A number of the draft: what is no number stays as it was typed, and is said to be none. */
export function NumberAt({
  value,
  ...rest
}: {
  at: Place;
  label: string;
  help?: string;
  value: number | string | undefined;
  onChange: (value: number | string | undefined) => void;
}) {
  return <ReadAt {...rest} begun={String(value ?? '')} read={numberIn} inputMode="decimal" />;
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
