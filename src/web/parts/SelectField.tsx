import { type ReactNode, useId } from 'react';

/** One of many, by the list that the device itself brings. */
export function SelectField<T extends string>({
  label,
  help,
  value,
  onChange,
  options,
  empty,
}: {
  label: string;
  help?: ReactNode;
  value: T | '';
  onChange: (value: T) => void;
  options: readonly { id: T; name: string }[];
  /** Said while nothing is chosen; absent where something always is. */
  empty?: string;
}) {
  const id = useId();
  return (
    <div className="field">
      <label htmlFor={id}>{label}</label>
      <select
        id={id}
        value={value}
        onChange={({ target }) => onChange(target.value as T)}
        {...(help !== undefined && { 'aria-describedby': `${id}-help` })}
      >
        {empty !== undefined && (
          <option value="" disabled>
            {empty}
          </option>
        )}
        {options.map((option) => (
          <option key={option.id} value={option.id}>
            {option.name}
          </option>
        ))}
      </select>
      {help !== undefined && (
        <span id={`${id}-help`} className="field-help">
          {help}
        </span>
      )}
    </div>
  );
}
