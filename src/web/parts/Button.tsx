import { type ReactNode, type RefObject, useRef } from 'react';
import { Button as AriaButton, type ButtonProps } from 'react-aria-components';
import { useKeptFocus } from './focus.js';

/**
 * `main` is the one thing to do here; `quiet` stands back; `bench` is for gloved hands at arm's length, `bench-wait`
 * the same before its time has come.
 */
export type ButtonLook = 'main' | 'plain' | 'quiet' | 'bench' | 'bench-wait';

export function Button({
  look = 'plain',
  children,
  ref,
  ...rest
}: Omit<ButtonProps, 'children' | 'className'> & {
  look?: ButtonLook;
  children: ReactNode;
  ref?: RefObject<HTMLButtonElement | null>;
}) {
  const own = useRef<HTMLButtonElement>(null);
  const place = ref ?? own;
  useKeptFocus(place, rest.isDisabled === true);
  return (
    <AriaButton {...rest} ref={place} className={`button button-${look}`}>
      {children}
    </AriaButton>
  );
}
