import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { api, faultIn, got, once } from '../api.js';
import type { NewUpholding, Release } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { Signing } from '../parts/Signing.js';
import { WORDS } from '../words.js';
import { ThenAndNow } from './LookHistory.js';
import { SECOND_LOOKS } from './words.js';

const words = SECOND_LOOKS.uphold;

/** Signs that a release stands after all; over a stop, with a second person. */
export function UpholdSheet({ release, label, onClose }: { release: Release; label: string; onClose: () => void }) {
  const queries = useQueryClient();
  const [reason, setReason] = useState('');
  const [second, setSecond] = useState({ login: '', password: '' });
  const [password, setPassword] = useState('');
  const send = useChange(
    (body: NewUpholding, key) =>
      got(api.POST('/api/releases/{id}/upholding', { params: { path: { id: release.id } }, body, ...once(key) })),
    async () => {
      say(words.done);
      onClose();
      await queries.invalidateQueries({ queryKey: ['runs'] });
    },
  );
  const worse = release.looks.flatMap(({ answer }) => answer?.worse ?? []);
  const two = worse.some(({ weight }) => weight === 'stop');
  const ready = reason.trim() !== '' && password !== '' && (!two || (second.login !== '' && second.password !== ''));
  return (
    <Sheet title={words.title(label)} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (ready) send.ask({ reason: reason.trim(), password, ...(two && { second }) });
        }}
      >
        <ThenAndNow release={release} />
        <p>{words.about}</p>
        <Field label={words.reason} help={words.reasonHelp} lines={3} value={reason} onChange={setReason} isRequired />
        <Signing
          meaning="release"
          act="uphold"
          password={password}
          error={faultIn(send.error, 'password')}
          onPassword={setPassword}
        />
        {two && (
          <fieldset className="second">
            <legend>{words.second}</legend>
            <Field
              label={words.login}
              error={faultIn(send.error, 'second.login')}
              value={second.login}
              onChange={(login) => setSecond((known) => ({ ...known, login }))}
              autoComplete="off"
              isRequired
            />
            <Field
              label={words.password}
              type="password"
              error={faultIn(send.error, 'second.password')}
              value={second.password}
              onChange={(given) => setSecond((known) => ({ ...known, password: given }))}
              autoComplete="off"
              isRequired
            />
          </fieldset>
        )}
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={!ready || send.isPending}>
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}
