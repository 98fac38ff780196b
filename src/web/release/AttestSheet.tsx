import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { api, faultIn, got, once } from '../api.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { benchClock } from '../parts/ticker.js';
import { WORDS } from '../words.js';
import { RELEASE } from './words.js';

const words = RELEASE.attestation;

/** The signed word of whoever took an irreplaceable specimen that it is whose it should be. */
export function AttestSheet({
  runId,
  subject: { subjectId, label },
  onClose,
}: {
  runId: string;
  subject: { subjectId: string; label: string };
  onClose: () => void;
}) {
  const queries = useQueryClient();
  const [statement, setStatement] = useState('');
  const [login, setLogin] = useState('');
  const [password, setPassword] = useState('');
  const attest = useChange(
    (body: { statement: string; login: string; password: string }, key) =>
      got(
        api.POST('/api/runs/{id}/attestations', {
          params: { path: { id: runId } },
          body: { ...body, subjectId, stamp: benchClock.now() },
          ...once(key),
        }),
      ),
    async () => {
      await queries.invalidateQueries({ queryKey: ['runs'] });
      onClose();
    },
  );
  const ready = statement.trim() !== '' && login !== '' && password !== '';
  return (
    <Sheet title={words.title(label)} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (ready) attest.ask({ statement: statement.trim(), login, password });
        }}
      >
        <p>{words.about}</p>
        <Field
          label={words.statement}
          help={words.statementHelp}
          error={faultIn(attest.error, 'statement')}
          value={statement}
          onChange={setStatement}
          lines={2}
          isRequired
        />
        <Field
          label={words.login}
          error={faultIn(attest.error, 'login')}
          value={login}
          onChange={setLogin}
          autoComplete="off"
          isRequired
        />
        <Field
          label={words.password}
          help={`${WORDS.signing.meaning}: ${WORDS.signing.meanings.responsibility}`}
          type="password"
          error={faultIn(attest.error, 'password')}
          value={password}
          onChange={setPassword}
          autoComplete="off"
          isRequired
        />
        <ProblemNote problem={attest.error} />
        <Button look="main" type="submit" isDisabled={!ready || attest.isPending}>
          {words.action}
        </Button>
      </Form>
    </Sheet>
  );
}
