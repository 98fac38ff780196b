import type { ReactNode, Ref } from 'react';
import { Button as AriaButton, type ButtonProps } from 'react-aria-components';

/**
 * `main` is the one thing to do here; `quiet` stands back; `bench` is for gloved hands at arm's length, `bench-wait`
 * the same before its time has come.
 */
export type ButtonLook = 'main' | 'plain' | 'quiet' | 'bench' | 'bench-wait';

export function Button({
  look = 'plain',
  children,
  ...rest
}: Omit<ButtonProps, 'children' | 'className'> & {
  look?: ButtonLook;
  children: ReactNode;
  ref?: Ref<HTMLButtonElement>;
}) {
  return (
    <AriaButton {...rest} className={`button button-${look}`}>
      {children}
    </AriaButton>
  );
}
