import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { FAILURE_ENDS, type FailureEnd } from '../../core/controls/failure.js';
import { api, got, once } from '../api.js';
import { useSession } from '../app/session.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Choice } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { shortLabel } from '../parts/format.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { Sheet } from '../parts/Sheet.js';
import { Signing } from '../parts/Signing.js';
import { WORDS } from '../words.js';
import { type FailureStory, RESULTS_KEY } from './queries.js';
import { RESULTS } from './words.js';

const words = RESULTS.story;

/** Records the cause, the corrective action, or the repeat that passed. */
export function ActSheet({
  story,
  kind,
  onClose,
}: {
  story: FailureStory;
  kind: 'cause' | 'action' | 'repeat';
  onClose: () => void;
}) {
  const { format } = useSession();
  const queries = useQueryClient();
  const [text, setText] = useState('');
  const [repeatId, setRepeatId] = useState<string>(story.repeats[0]?.id ?? '');
  const act = useChange(
    (body: { kind: typeof kind; text: string; repeatId?: string }, key) =>
      got(api.POST('/api/control-failures/{id}/acts', { params: { path: { id: story.id } }, body, ...once(key) })),
    () => {
      void queries.invalidateQueries({ queryKey: RESULTS_KEY });
      onClose();
    },
  );
  if (kind === 'repeat' && story.repeats.length === 0) {
    return (
      <Sheet title={words.record.repeat} onClose={onClose}>
        <p>{words.noRepeat}</p>
      </Sheet>
    );
  }
  return (
    <Sheet title={words.record[kind]} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (text.trim().length < 3) return;
          act.ask({ kind, text: text.trim(), ...(kind === 'repeat' && { repeatId }) });
        }}
      >
        {kind === 'repeat' && (
          <SelectField
            label={words.which}
            value={repeatId}
            onChange={setRepeatId}
            options={story.repeats.map(({ id, at, observed }) => ({
              id,
              name: `${format.dayAndClock(at)}: ${observed}`,
            }))}
          />
        )}
        <Field label={words.text[kind]} value={text} onChange={setText} lines={3} takesFocus isRequired />
        <ProblemNote problem={act.error} />
        <Button look="main" type="submit" isDisabled={text.trim().length < 3 || act.isPending}>
          {words.record[kind]}
        </Button>
      </Form>
    </Sheet>
  );
}

/** Closes a failure by signature; an end without a repeat says what it means for each case that nobody answered. */
export function CloseSheet({ story, onClose }: { story: FailureStory; onClose: () => void }) {
  const queries = useQueryClient();
  const [ended, setEnded] = useState<FailureEnd>('repeated');
  const [reason, setReason] = useState('');
  const [meanings, setMeanings] = useState<Record<string, string>>({});
  const [password, setPassword] = useState('');
  const open = story.covers.flatMap(({ runId, subjects }) =>
    subjects.filter(({ outcome }) => outcome === null).map(({ subjectId, label }) => ({ runId, subjectId, label })),
  );
  const closing = useChange(
    (
      body: {
        ended: FailureEnd;
        reason: string;
        password: string;
        cases?: { runId: string; subjectId: string; meaning: string }[];
      },
      key,
    ) => got(api.POST('/api/control-failures/{id}/close', { params: { path: { id: story.id } }, body, ...once(key) })),
    () => {
      void queries.invalidateQueries({ queryKey: RESULTS_KEY });
      onClose();
    },
  );
  return (
    <Sheet title={words.close} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          const cases = open.flatMap(({ runId, subjectId }) => {
            const meaning = meanings[`${runId} ${subjectId}`]?.trim() ?? '';
            return meaning.length < 3 ? [] : [{ runId, subjectId, meaning }];
          });
          closing.ask({
            ended,
            reason: reason.trim(),
            password,
            ...(ended !== 'repeated' && cases.length > 0 && { cases }),
          });
        }}
      >
        <p className="small">{words.closeHelp}</p>
        <Choice
          label={words.ended}
          options={FAILURE_ENDS.map((id) => ({ id, ...words.ends[id] }))}
          value={ended}
          onChange={setEnded}
        />
        {ended !== 'repeated' &&
          open.map(({ runId, subjectId, label }) => (
            <Field
              key={`${runId} ${subjectId}`}
              label={words.meaning(shortLabel(label))}
              value={meanings[`${runId} ${subjectId}`] ?? ''}
              onChange={(meaning) => setMeanings({ ...meanings, [`${runId} ${subjectId}`]: meaning })}
              isRequired
            />
          ))}
        <Field label={words.reason} value={reason} onChange={setReason} lines={2} isRequired />
        <Signing meaning="review" password={password} onPassword={setPassword} />
        <ProblemNote problem={closing.error} />
        <Button look="main" type="submit" isDisabled={reason.trim().length < 3 || password === '' || closing.isPending}>
          {words.sign}
        </Button>
      </Form>
    </Sheet>
  );
}
