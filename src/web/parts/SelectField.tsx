import { type ReactNode, useId } from 'react';

/** One of many, by the list that the device itself brings. */
export function SelectField<T extends string>({
  label,
  help,
  value,
  onChange,
  options,
  empty,
  error,
}: {
  label: string;
  help?: ReactNode;
  value: T | '';
  onChange: (value: T) => void;
  options: readonly { id: T; name: string }[];
  /** Said while nothing is chosen; absent where something always is. */
  empty?: string;
  error?: string | undefined;
}) {
  const id = useId();
  const described = [help !== undefined && `${id}-help`, error !== undefined && `${id}-error`]
    .filter(Boolean)
    .join(' ');
  return (
    <div className="field">
      <label htmlFor={id}>{label}</label>
      <select
        id={id}
        value={value}
        onChange={({ target }) => onChange(target.value as T)}
        aria-invalid={error !== undefined}
        {...(described !== '' && { 'aria-describedby': described })}
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
      {error !== undefined && (
        <span id={`${id}-error`} className="field-error">
          {error}
        </span>
      )}
    </div>
  );
}
