import { useEffect, useState } from 'react';
import { Form } from 'react-aria-components';
import { pinFault } from '../../core/people/pin.js';
import { api, got } from '../api.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import './handover.css';
import { HANDOVER } from './words.js';

const words = HANDOVER.own;

/** Makes the own badge with its PIN and shows its code, once. */
export default function BadgeSheet({ onClose }: { onClose: () => void }) {
  const [pin, setPin] = useState('');
  const [password, setPassword] = useState('');
  const make = useChange((body: { pin: string; password: string }) => got(api.POST('/api/session/badge', { body })));
  const fault = pin === '' ? null : pinFault(pin);
  const ready = pin !== '' && fault === null && password !== '';
  return (
    <Sheet title={words.title} onClose={onClose}>
      {make.data ? (
        <Badge label={make.data.label} />
      ) : (
        <Form
          className="form"
          onSubmit={(event) => {
            event.preventDefault();
            if (ready) make.ask({ pin, password });
          }}
        >
          <p>{words.about}</p>
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
          <ProblemNote problem={make.error} />
          <p className="small">{words.caution}</p>
          <Button look="main" type="submit" isDisabled={!ready || make.isPending}>
            {words.action}
          </Button>
        </Form>
      )}
    </Sheet>
  );
}

function Badge({ label }: { label: string }) {
  const [picture, setPicture] = useState<string | null>(null);
  useEffect(() => {
    // Drawn here, since the server keeps the label as a hash alone.
    void import('bwip-js/browser').then(({ default: bwip }) =>
      setPicture(bwip.toSVG({ bcid: 'qrcode', text: label, scale: 4 })),
    );
  }, [label]);
  return (
    <div className="badge">
      <p>{words.made}</p>
      {picture !== null && (
        <img src={`data:image/svg+xml,${encodeURIComponent(picture)}`} alt={words.alt(label)} className="badge-code" />
      )}
      <p>
        <code>{label}</code>
      </p>
      <p className="small">{words.caution}</p>
      <Button onPress={() => print()}>{words.print}</Button>
    </div>
  );
}
