import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { useSession } from '../app/session.js';
import { api, got } from '../api.js';
import { Button } from '../parts/Button.js';
import { Waiting } from '../parts/Page.js';
import { SelectField } from '../parts/SelectField.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { useRecord } from './acts.js';
import type { Standing } from './bench.js';
import { BENCH } from './words.js';

const words = BENCH.supervisor;

/** Names who stands by a trainee in a run: somebody competent in its protocol. */
export function SupervisorSheet({ run, onClose }: { run: Standing; onClose: () => void }) {
  const record = useRecord();
  const { person } = useSession();
  const { data, error, refetch } = useQuery({
    queryKey: ['competence'],
    queryFn: () => got(api.GET('/api/competence')),
  });
  const [chosen, setChosen] = useState('');
  const able = data?.people.filter(
    ({ id, disabled }) =>
      id !== person.id &&
      !disabled &&
      data.items.some(
        ({ personId, protocolId, standing }) =>
          personId === id && protocolId === run.view.revision.content.id && standing === 'competent',
      ),
  );
  return (
    <Sheet title={words.title} onClose={onClose} closeWord={WORDS.cancel}>
      {!able && <Waiting error={error} onRetry={() => void refetch()} />}
      {able?.length === 0 && <p>{words.nobody}</p>}
      {able && able.length > 0 && (
        <Form
          className="form"
          onSubmit={(event) => {
            event.preventDefault();
            onClose();
            record(run.id, 'supervised', { supervisor: chosen });
          }}
        >
          <SelectField
            label={words.field}
            help={words.help}
            empty={words.choose}
            value={chosen}
            onChange={setChosen}
            options={able.map(({ id, name }) => ({ id, name }))}
          />
          <Button look="main" type="submit" isDisabled={chosen === ''}>
            {words.action}
          </Button>
        </Form>
      )}
    </Sheet>
  );
}
