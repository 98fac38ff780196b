import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { api, got, once } from '../api.js';
import type { PlanApproval, PlanVersion } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { Signing } from '../parts/Signing.js';
import { WORDS } from '../words.js';
import { CONTROLS_KEY, useTasks } from './queries.js';
import { CONTROLS } from './words.js';

const words = CONTROLS.approve;

/** The director signs a plan. */
export function ApproveSheet({
  protocol,
  version: { number, note },
  onClose,
}: {
  protocol: string;
  version: PlanVersion;
  onClose: () => void;
}) {
  const queries = useQueryClient();
  const { data: today } = useTasks();
  const [day, setDay] = useState<string | null>(null);
  const [reason, setReason] = useState(note);
  const [password, setPassword] = useState('');
  const send = useChange(
    (body: PlanApproval, key) =>
      got(
        api.POST('/api/control-plans/{protocol}/{number}/approve', {
          params: { path: { protocol, number } },
          body,
          ...once(key),
        }),
      ),
    () => {
      say(words.done);
      void queries.invalidateQueries({ queryKey: [CONTROLS_KEY] });
      onClose();
    },
  );
  const first = day ?? today?.day ?? '';
  return (
    <Sheet title={words.title} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          send.ask({ effectiveFrom: first, reason: reason.trim(), password });
        }}
      >
        <p>{words.about}</p>
        <Field label={words.day} help={words.dayHelp} type="date" value={first} onChange={setDay} isRequired />
        <Field label={words.reason} value={reason} onChange={setReason} lines={2} isRequired />
        <Signing meaning="approval" password={password} onPassword={setPassword} />
        <ProblemNote problem={send.error} />
        <Button
          look="main"
          type="submit"
          isDisabled={send.isPending || first === '' || reason.trim() === '' || password === ''}
        >
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}
