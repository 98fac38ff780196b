import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { useSession } from '../app/session.js';
import { api, got, once } from '../api.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Field } from '../parts/Field.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { RELEASE } from './words.js';

const words = RELEASE.after.hold;

/** Whether a person holds the result back, and the way to do so or to let it go on. */
export function Hold({ runId, subjectId }: { runId: string; subjectId: string }) {
  const { format, may } = useSession();
  const { data } = useQuery({
    queryKey: ['runs', runId, 'holds'],
    queryFn: () => got(api.GET('/api/runs/{id}/holds', { params: { path: { id: runId } } })),
  });
  const [asking, setAsking] = useState(false);
  const last = data?.filter((each) => each.subjectId === subjectId).at(-1);
  const held = last?.holds === true;
  return (
    <>
      {held && <p className="held-note">{words.holds(format.dayAndClock(last.at), last.reason)}</p>}
      {data && may('releaser', 'director') && (
        <div>
          <Button look="quiet" onPress={() => setAsking(true)}>
            {held ? words.lift : words.open}
          </Button>
        </div>
      )}
      {asking && <HoldSheet runId={runId} subjectId={subjectId} holds={!held} onClose={() => setAsking(false)} />}
    </>
  );
}

function HoldSheet({
  runId,
  subjectId,
  holds,
  onClose,
}: {
  runId: string;
  subjectId: string;
  holds: boolean;
  onClose: () => void;
}) {
  const queries = useQueryClient();
  const [reason, setReason] = useState('');
  const send = useChange(
    (body: { subjectId: string; holds: boolean; reason: string }, key) =>
      got(api.POST('/api/runs/{id}/holds', { params: { path: { id: runId } }, body, ...once(key) })),
    async () => {
      onClose();
      await queries.invalidateQueries({ queryKey: ['runs'] });
    },
  );
  return (
    <Sheet title={holds ? words.title : words.liftTitle} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (reason.trim() !== '') send.ask({ subjectId, holds, reason: reason.trim() });
        }}
      >
        <Field
          label={words.reason}
          help={words.reasonHelp}
          lines={2}
          value={reason}
          onChange={setReason}
          takesFocus
          isRequired
        />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={reason.trim() === '' || send.isPending}>
          {holds ? words.action : words.liftAction}
        </Button>
      </Form>
    </Sheet>
  );
}
