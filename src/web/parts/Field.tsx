import type { ReactNode } from 'react';
import { FieldError, Input, Label, Text, TextArea, TextField, type TextFieldProps } from 'react-aria-components';

/** A text field with its label, help beneath and the error in its place. */
export function Field({
  label,
  help,
  error,
  lines,
  suggestions,
  takesFocus = false,
  ...rest
}: Omit<TextFieldProps, 'children' | 'className' | 'autoFocus'> & {
  label: string;
  help?: ReactNode;
  error?: string | undefined;
  /** More than one makes it a text area. */
  lines?: number;
  suggestions?: readonly string[];
  /** Where a dialog or a page of one purpose begins. */
  takesFocus?: boolean;
}) {
  const list = suggestions ? `list-${label.replaceAll(' ', '-')}` : undefined;
  return (
    <TextField
      {...rest}
      {...(takesFocus && { autoFocus: true })}
      isInvalid={error !== undefined || rest.isInvalid === true}
      // What the server refused must not keep the mended form from being sent again.
      {...(error !== undefined && { validationBehavior: 'aria' as const })}
      className="field"
    >
      <Label>{label}</Label>
      {lines === undefined ? <Input {...(list && { list })} /> : <TextArea rows={lines} />}
      {suggestions && (
        <datalist id={list}>
          {suggestions.map((each) => (
            <option key={each} value={each} />
          ))}
        </datalist>
      )}
      {help && (
        <Text slot="description" className="field-help">
          {help}
        </Text>
      )}
      <FieldError className="field-error">{error}</FieldError>
    </TextField>
  );
}
