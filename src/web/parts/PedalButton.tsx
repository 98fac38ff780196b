import type { ReactNode } from 'react';
import type { BenchStamp } from '../../core/run/events.js';
import { Button, type ButtonLook } from './Button.js';
import { usePedal } from './pedal.js';
import { benchClock } from './ticker.js';

/** A button for touch, mouse, keyboard and foot pedal alike; tells the moment at which it was pressed. */
export function PedalButton({
  look = 'bench',
  onAct,
  takesFocus = false,
  children,
  ...rest
}: {
  look?: ButtonLook;
  onAct: (stamp: BenchStamp) => void;
  children: ReactNode;
  /** Where a dialog or the bench begins. */
  takesFocus?: boolean;
  isDisabled?: boolean;
  id?: string;
  'aria-describedby'?: string;
}) {
  const ref = usePedal(onAct);
  return (
    <Button
      {...rest}
      {...(takesFocus && { autoFocus: true })}
      ref={ref}
      look={look}
      onPress={() => onAct(benchClock.now())}
    >
      {children}
    </Button>
  );
}
