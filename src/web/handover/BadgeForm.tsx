import { type ReactNode, useEffect, useRef, useState } from 'react';
import { Form } from 'react-aria-components';
import { Button } from '../parts/Button.js';
import { Field } from '../parts/Field.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import './handover.css';
import { HANDOVER as words } from './words.js';

const DIGITS = ['1', '2', '3', '4', '5', '6', '7', '8', '9', '0'];
const MOST = 8;

export interface BadgeAndPin {
  badge: string;
  pin: string;
}

/** Asks for badge and PIN, with keys large enough for gloves; `scanned` is the badge when it was scanned already. */
export function BadgeForm({
  scanned = '',
  takesFocus = false,
  action,
  waits = null,
  pending,
  problem,
  onAsk,
}: {
  scanned?: string;
  takesFocus?: boolean;
  action: string;
  /** Why it cannot be asked now. */
  waits?: ReactNode;
  pending: boolean;
  problem: Error | null;
  onAsk: (asked: BadgeAndPin) => void;
}) {
  const [badge, setBadge] = useState(scanned);
  const [pin, setPin] = useState('');
  const form = useRef<HTMLFormElement>(null);
  useEffect(() => {
    if (!takesFocus) return;
    const [first, second] = form.current?.querySelectorAll('input') ?? [];
    (scanned === '' ? first : second)?.focus();
  }, [scanned, takesFocus]);
  const ready = badge.trim() !== '' && pin.length >= 6 && waits === null;
  return (
    <Form
      ref={form}
      className="form"
      onSubmit={(event) => {
        event.preventDefault();
        if (!ready) return;
        onAsk({ badge: badge.trim(), pin });
        setPin('');
      }}
    >
      <Field
        label={words.badge}
        help={words.badgeHelp}
        value={badge}
        onChange={setBadge}
        autoComplete="off"
        isRequired
      />
      <Field
        label={words.pin}
        type="password"
        inputMode="numeric"
        value={pin}
        onChange={(text) => setPin(text.replace(/\D/g, '').slice(0, MOST))}
        autoComplete="off"
        isRequired
      />
      <div className="keypad">
        {DIGITS.map((digit) => (
          <Button key={digit} aria-label={words.digit(digit)} onPress={() => setPin((pin + digit).slice(0, MOST))}>
            {digit}
          </Button>
        ))}
        <Button aria-label={words.back} onPress={() => setPin(pin.slice(0, -1))}>
          ←
        </Button>
      </div>
      {waits !== null && <p role="status">{waits}</p>}
      <ProblemNote problem={problem} />
      <Button look="bench" type="submit" isDisabled={!ready || pending}>
        {action}
      </Button>
    </Form>
  );
}
