import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import type { ContainerState } from '../../core/lot/lot.js';
import { api, got, once } from '../api.js';
import type { Container } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { asLocal } from '../parts/format.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { benchClock } from '../parts/ticker.js';
import { TimeField } from '../parts/TimeField.js';
import { WORDS } from '../words.js';
import { STOCK } from './words.js';

/** Says that a container was opened, is empty or was thrown away, and when. */
export function StateSheet({
  container: { id, label },
  state,
  onClose,
}: {
  container: Pick<Container, 'id' | 'label'>;
  state: ContainerState;
  onClose: () => void;
}) {
  const queries = useQueryClient();
  const words = STOCK.state;
  const [now] = useState(() => asLocal(benchClock.now().at));
  const [when, setWhen] = useState(now);
  const [reason, setReason] = useState('');
  const ms = Date.parse(when);
  const reasoned = state === 'discarded';
  const send = useChange(
    (body: { state: ContainerState; at?: string; reason?: string }, key) =>
      got(api.POST('/api/containers/{id}/state', { params: { path: { id } }, body, ...once(key) })),
    async () => {
      say(words.done(label, STOCK.conditions[state]));
      onClose();
      await queries.invalidateQueries({ queryKey: ['stock'] });
    },
  );
  return (
    <Sheet title={words.titles[state](label)} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          send.ask({
            state,
            ...(when !== now && { at: new Date(ms).toISOString() }),
            ...(reason.trim() !== '' && { reason: reason.trim() }),
          });
        }}
      >
        <p>{words.about[state]}</p>
        <TimeField label={words.when} help={words.whenHelp} value={when} onChange={setWhen} />
        <Field
          label={words.reason}
          help={reasoned ? words.reasonNeeded : WORDS.optional}
          value={reason}
          onChange={setReason}
          lines={2}
          isRequired={reasoned}
        />
        <ProblemNote problem={send.error} />
        <Button
          look="main"
          type="submit"
          isDisabled={send.isPending || Number.isNaN(ms) || (reasoned && reason.trim() === '')}
        >
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}
