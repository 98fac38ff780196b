import { Field } from './Field.js';

/** Where a new password is chosen: asked of the browser as a new one, and never shown. */
export function NewPasswordField({
  label,
  help,
  value,
  onChange,
}: {
  label: string;
  help: string;
  value: string;
  onChange: (value: string) => void;
}) {
  return (
    <Field
      label={label}
      help={help}
      type="password"
      value={value}
      onChange={onChange}
      autoComplete="new-password"
      isRequired
    />
  );
}
