import { useId } from 'react';
import { TypedTimes } from './TypedTimes.js';

/** A day and a time to the second, typed by the clock of this device, which stands beneath with the help or instead of what is wrong. */
export function TimeField({
  label,
  help,
  error,
  value,
  onChange,
  isRequired = false,
}: {
  label: string;
  help?: string;
  error?: string | undefined;
  value: string;
  onChange: (value: string) => void;
  isRequired?: boolean;
}) {
  const id = useId();
  return (
    <div className="field" {...(error !== undefined && { 'data-invalid': true })}>
      <label htmlFor={id}>{label}</label>
      <input
        id={id}
        type="datetime-local"
        step="1"
        aria-describedby={`${id}-help`}
        aria-invalid={error !== undefined}
        required={isRequired}
        value={value}
        onChange={({ target }) => onChange(target.value)}
      />
      <span id={`${id}-help`} className={error === undefined ? 'field-help' : 'field-error'}>
        {error ?? (
          <>
            {help} <TypedTimes />
          </>
        )}
      </span>
    </div>
  );
}
