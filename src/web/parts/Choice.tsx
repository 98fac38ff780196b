import type { ReactNode } from 'react';
import { Checkbox, Label, Radio, RadioGroup, Text } from 'react-aria-components';

/** One of a few, all of them in sight and large enough for a glove. */
export function Choice<T extends string>({
  label,
  help,
  options,
  value,
  onChange,
}: {
  label: string;
  help?: ReactNode;
  options: readonly { id: T; name: ReactNode; more?: ReactNode; off?: boolean }[];
  value: T | null;
  onChange: (value: T) => void;
}) {
  return (
    <RadioGroup className="choice" value={value} onChange={(id) => onChange(id as T)}>
      <Label>{label}</Label>
      {help && (
        <Text slot="description" className="field-help">
          {help}
        </Text>
      )}
      <div className="choice-options">
        {options.map(({ id, name, more, off }) => (
          <Radio key={id} value={id} isDisabled={off ?? false} className="choice-option">
            <span className="choice-mark" aria-hidden="true" />
            <span>
              <span className="choice-name">{name}</span>
              {more && <span className="choice-more">{more}</span>}
            </span>
          </Radio>
        ))}
      </div>
    </RadioGroup>
  );
}

/** A statement that a person makes by ticking it. */
export function Tick({
  children,
  on,
  onChange,
}: {
  children: ReactNode;
  on: boolean;
  onChange: (on: boolean) => void;
}) {
  return (
    <Checkbox className="tick" isSelected={on} onChange={onChange}>
      <span className="tick-mark" aria-hidden="true" />
      <span>{children}</span>
    </Checkbox>
  );
}
