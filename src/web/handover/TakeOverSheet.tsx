import { useEffect, useRef, useState } from 'react';
import { Form } from 'react-aria-components';
import { api, got } from '../api.js';
import type { Session } from '../api.paths.js';
import { useLive } from '../app/live.js';
import { useSession } from '../app/session.js';
import { isAway } from '../offline/kept-answers.js';
import { useOutbox } from '../offline/outbox.js';
import { keepPass, type OpenedPass, openPass } from '../offline/passes.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { say, sayProblem } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import './handover.css';
import { HANDOVER as words } from './words.js';

const DIGITS = ['1', '2', '3', '4', '5', '6', '7', '8', '9', '0'];
const MOST = 8;

interface Asked {
  badge: string;
  pin: string;
}

/**
 * Opens a session or, while the server is out of reach, the day pass on this device. Entries of the person before that are
 * not sent yet need that person's session, so this leaves it alone.
 */
async function take({ badge, pin }: Asked, unsent: boolean): Promise<Session | OpenedPass> {
  if (unsent) return openPass(badge, pin);
  try {
    return await got(api.POST('/api/session/hand-over', { body: { badge, pin } }));
  } catch (problem) {
    if (!isAway(problem)) throw problem;
    return openPass(badge, pin);
  }
}

/** Takes a station over by badge and PIN, with keys large enough for gloves; `scanned` is the badge when it was scanned already. */
export default function TakeOverSheet({ scanned = '', onClose }: { scanned?: string; onClose: () => void }) {
  const { begin, goOnUnder, person } = useSession();
  const { connected } = useLive();
  // Only their own session sends them, and what comes after in the same run waits behind them.
  const unsent = useOutbox().some(({ by, refused }) => by.personId === person.id && refused === null);
  const [badge, setBadge] = useState(scanned);
  const [pin, setPin] = useState('');
  const form = useRef<HTMLFormElement>(null);
  useEffect(() => {
    const [first, second] = form.current?.querySelectorAll('input') ?? [];
    (scanned === '' ? first : second)?.focus();
  }, [scanned]);
  const takeOver = useChange(
    (asked: Asked) => take(asked, unsent),
    async (taken, { badge: shown, pin: typed }) => {
      onClose();
      if ('key' in taken) await goOnUnder(taken);
      else begin(taken);
      say(words.done(taken.person.name));
      if (!('key' in taken)) await keepPass(shown, typed, taken).catch(sayProblem);
    },
  );
  const waits = unsent && connected;
  const ready = badge.trim() !== '' && pin.length >= 6 && !waits;
  return (
    <Sheet title={words.title} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        ref={form}
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (!ready) return;
          takeOver.ask({ badge: badge.trim(), pin });
          setPin('');
        }}
      >
        <p className="small">{words.help}</p>
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
        {waits && <p role="status">{words.unsent(person.name)}</p>}
        <ProblemNote problem={takeOver.error} />
        <Button look="bench" type="submit" isDisabled={!ready || takeOver.isPending}>
          {words.action}
        </Button>
      </Form>
    </Sheet>
  );
}
