import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { api, got, once } from '../api.js';
import type { Release } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { Signing } from '../parts/Signing.js';
import { WORDS } from '../words.js';
import { RELEASE } from './words.js';

const words = RELEASE.after;

/** Takes a release back by a signature, with whom it was told to. */
export function WithdrawSheet({ release, onClose }: { release: Release; onClose: () => void }) {
  const queries = useQueryClient();
  const [reason, setReason] = useState('');
  const [told, setTold] = useState('');
  const [password, setPassword] = useState('');
  const send = useChange(
    (body: { reason: string; told: string; password: string }, key) =>
      got(api.POST('/api/releases/{id}/withdrawal', { params: { path: { id: release.id } }, body, ...once(key) })),
    async () => {
      say(words.withdraw.done);
      onClose();
      await queries.invalidateQueries({ queryKey: ['runs'] });
    },
  );
  const ready = reason.trim() !== '' && told.trim() !== '' && password !== '';
  return (
    <Sheet title={words.withdraw.title} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (ready) send.ask({ reason: reason.trim(), told: told.trim(), password });
        }}
      >
        <p>{words.withdraw.about}</p>
        <Field
          label={words.withdraw.reason}
          help={words.withdraw.reasonHelp}
          lines={2}
          value={reason}
          onChange={setReason}
          isRequired
        />
        <Field label={words.withdraw.told} help={words.withdraw.toldHelp} value={told} onChange={setTold} isRequired />
        <Signing meaning="responsibility" act="withdraw" password={password} onPassword={setPassword} />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={!ready || send.isPending}>
          {send.isPending ? WORDS.sending : words.withdraw.action}
        </Button>
      </Form>
    </Sheet>
  );
}
