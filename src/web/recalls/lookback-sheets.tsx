import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { LOOKBACK_OUTCOMES, type LookbackOutcome } from '../../core/lookback/lookback.js';
import { api, got, once } from '../api.js';
import type { LookbackItem } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Choice } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { someLabels } from '../parts/format.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { Signing } from '../parts/Signing.js';
import { WORDS } from '../words.js';
import { LOOKBACKS as words } from './words.js';

interface Answer {
  items: { runId: string; subjectId: string }[];
  outcome: LookbackOutcome;
  reason: string;
}

/** Answers one or many specimens or slides alike. */
export function AnswerSheet({
  lookbackId: id,
  items,
  onClose,
}: {
  lookbackId: string;
  items: readonly LookbackItem[];
  onClose: () => void;
}) {
  const queries = useQueryClient();
  const [outcome, setOutcome] = useState<LookbackOutcome | null>(null);
  const [reason, setReason] = useState('');
  const send = useChange(
    (body: Answer, key) =>
      got(api.POST('/api/lookbacks/{id}/answers', { params: { path: { id } }, body, ...once(key) })),
    async () => {
      say(words.answered(items.length));
      onClose();
      await queries.invalidateQueries({ queryKey: ['lookbacks'] });
    },
  );
  return (
    <Sheet title={words.answerTitle(items.length)} onClose={onClose} closeWord={WORDS.cancel}>
      <p className="label">{someLabels(items.map(({ subject }) => subject.label))}</p>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (outcome === null) return;
          const touched = items.map(({ runId, subjectId }) => ({ runId, subjectId }));
          send.ask({ items: touched, outcome, reason: reason.trim() });
        }}
      >
        <Choice
          label={words.outcome}
          options={LOOKBACK_OUTCOMES.map((each) => ({ id: each, ...words.outcomes[each] }))}
          value={outcome}
          onChange={setOutcome}
        />
        <Field label={words.reason} help={words.reasonHelp} value={reason} onChange={setReason} lines={3} isRequired />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={send.isPending || outcome === null || reason.trim() === ''}>
          {send.isPending ? WORDS.sending : words.answerAction}
        </Button>
      </Form>
    </Sheet>
  );
}

/** Closes a lookback by a signature. */
export function CloseSheet({ lookbackId: id, onClose }: { lookbackId: string; onClose: () => void }) {
  const queries = useQueryClient();
  const [reason, setReason] = useState('');
  const [password, setPassword] = useState('');
  const send = useChange(
    (body: { reason: string; password: string }, key) =>
      got(api.POST('/api/lookbacks/{id}/close', { params: { path: { id } }, body, ...once(key) })),
    async () => {
      say(words.closeDone);
      onClose();
      await queries.invalidateQueries({ queryKey: ['lookbacks'] });
    },
  );
  return (
    <Sheet title={words.closeTitle} onClose={onClose} closeWord={WORDS.cancel}>
      <p>{words.closeAbout}</p>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          send.ask({ reason: reason.trim(), password });
        }}
      >
        <Field label={words.closeReason} value={reason} onChange={setReason} lines={3} isRequired />
        <Signing meaning="responsibility" act="close" password={password} onPassword={setPassword} />
        <ProblemNote problem={send.error} />
        <Button look="main" type="submit" isDisabled={send.isPending || reason.trim() === '' || password === ''}>
          {send.isPending ? WORDS.sending : words.closeAction}
        </Button>
      </Form>
    </Sheet>
  );
}
