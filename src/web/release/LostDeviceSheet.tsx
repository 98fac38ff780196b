import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { api, faultIn, got, once } from '../api.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { Signing } from '../parts/Signing.js';
import { benchClock } from '../parts/ticker.js';
import { WORDS } from '../words.js';
import { RELEASE } from './words.js';

const words = RELEASE.lostDevice;

/** Two people's word that what a device may still hold of a run will never come. */
export function LostDeviceSheet({ runId, device, onClose }: { runId: string; device: string; onClose: () => void }) {
  const queries = useQueryClient();
  const [reason, setReason] = useState('');
  const [password, setPassword] = useState('');
  const [secondLogin, setSecondLogin] = useState('');
  const [secondPassword, setSecondPassword] = useState('');
  const declare = useChange(
    (body: { reason: string; password: string; secondLogin: string; secondPassword: string }, key) =>
      got(
        api.POST('/api/runs/{id}/lost-devices', {
          params: { path: { id: runId } },
          body: { ...body, device, stamp: benchClock.now() },
          ...once(key),
        }),
      ),
    async () => {
      await queries.invalidateQueries({ queryKey: ['runs'] });
      onClose();
    },
  );
  const ready = reason.trim().length >= 3 && password !== '' && secondLogin !== '' && secondPassword !== '';
  return (
    <Sheet title={words.title(device)} onClose={onClose} closeWord={WORDS.cancel} urgent>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (ready) declare.ask({ reason: reason.trim(), password, secondLogin, secondPassword });
        }}
      >
        <p>{words.about}</p>
        <Field label={words.reason} help={words.reasonHelp} value={reason} onChange={setReason} lines={2} isRequired />
        <Signing
          meaning="responsibility"
          password={password}
          error={faultIn(declare.error, 'password')}
          onPassword={setPassword}
        />
        <Field
          label={words.secondLogin}
          help={words.secondHelp}
          error={faultIn(declare.error, 'secondLogin')}
          value={secondLogin}
          onChange={setSecondLogin}
          autoComplete="off"
          isRequired
        />
        <Field
          label={words.secondPassword}
          type="password"
          error={faultIn(declare.error, 'secondPassword')}
          value={secondPassword}
          onChange={setSecondPassword}
          autoComplete="off"
          isRequired
        />
        <ProblemNote problem={declare.error} />
        <Button look="main" type="submit" isDisabled={!ready || declare.isPending}>
          {words.action}
        </Button>
      </Form>
    </Sheet>
  );
}
