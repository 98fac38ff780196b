import { useState } from 'react';
import { Form } from 'react-aria-components';
import { pinFault } from '../../core/people/pin.js';
import { api, got } from '../api.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { MadeBadge } from './MadeBadge.js';
import { HANDOVER } from './words.js';

const words = HANDOVER.own;

/** Makes the own badge with its PIN and shows its code, once; or sets the PIN of one that was given. */
export default function BadgeSheet({ onClose }: { onClose: () => void }) {
  const [badge, setBadge] = useState('');
  const [pin, setPin] = useState('');
  const [password, setPassword] = useState('');
  const make = useChange((body: { pin: string; password: string }) => got(api.POST('/api/session/badge', { body })));
  const set = useChange(
    (body: { badge: string; pin: string; password: string }) => got(api.POST('/api/session/badge/pin', { body })),
    () => {
      say(words.pinSet);
      onClose();
    },
  );
  const given = badge.trim();
  const fault = pin === '' ? null : pinFault(pin);
  const ready = pin !== '' && fault === null && password !== '' && !make.isPending && !set.isPending;
  return (
    <Sheet title={words.title} onClose={onClose}>
      {make.data ? (
        <MadeBadge {...make.data} />
      ) : (
        <Form
          className="form"
          onSubmit={(event) => {
            event.preventDefault();
            if (!ready) return;
            if (given === '') make.ask({ pin, password });
            else set.ask({ badge: given, pin, password });
          }}
        >
          <p>{words.about}</p>
          <Field label={words.given} help={words.givenHelp} value={badge} onChange={setBadge} autoComplete="off" />
          <Field
            label={words.pin}
            help={fault ?? words.pinHelp}
            type="password"
            inputMode="numeric"
            value={pin}
            onChange={setPin}
            isInvalid={fault !== null}
            autoComplete="off"
            isRequired
          />
          <Field
            label={WORDS.signing.password}
            type="password"
            value={password}
            onChange={setPassword}
            autoComplete="current-password"
            isRequired
          />
          <ProblemNote problem={given === '' ? make.error : set.error} />
          <p className="small">{words.caution}</p>
          <Button look="main" type="submit" isDisabled={!ready}>
            {given === '' ? words.action : words.setPin}
          </Button>
        </Form>
      )}
    </Sheet>
  );
}
