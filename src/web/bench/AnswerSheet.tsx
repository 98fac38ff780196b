import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { Form } from 'react-aria-components';
import { api, got, once } from '../api.js';
import type { NewAnswer } from '../api.paths.js';
import { Button } from '../parts/Button.js';
import { useChange } from '../parts/change.js';
import { Choice, Tick } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { say } from '../parts/notices.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { benchClock } from '../parts/ticker.js';
import { WORDS } from '../words.js';
import type { Standing } from './bench.js';
import { PointVerdict, useJudgement } from './Findings.js';
import { BENCH } from './words.js';

const words = BENCH.answer;

/** Keeps an answer spoken before it is signed: the words, who listened, the read-back, and what the gate says now. */
export function AnswerSheet({ run, onClose }: { run: Standing; onClose: () => void }) {
  const queries = useQueryClient();
  // The moment when it was spoken, not when its form was filled in.
  const [stamp] = useState(() => benchClock.now());
  const patients = run.subjects.filter(({ role }) => role === 'patient');
  const points = run.view.revision.content.releasePoints;
  const [subjectId, setSubjectId] = useState(patients[0]?.subjectId ?? '');
  const [point, setPoint] = useState(points[0]?.id ?? '');
  const [text, setText] = useState('');
  const [listener, setListener] = useState('');
  const [readBack, setReadBack] = useState(false);
  const { data } = useJudgement(run.id);
  const subject = data?.subjects.find((each) => each.subjectId === subjectId);
  const judged = subject?.points.find((each) => each.point === point);
  const send = useChange(
    (body: NewAnswer, key) =>
      got(api.POST('/api/runs/{id}/answers', { params: { path: { id: run.id } }, body, ...once(key) })),
    async () => {
      say(words.done);
      onClose();
      await queries.invalidateQueries({ queryKey: ['runs'] });
    },
  );
  return (
    <Sheet title={words.title} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          send.ask({ subjectId, point, words: text.trim(), listener: listener.trim(), readBack, stamp });
        }}
      >
        <p>{words.caution}</p>
        {patients.length > 1 && (
          <Choice
            label={words.who}
            options={patients.map((each) => ({ id: each.subjectId, name: each.label, more: each.description }))}
            value={subjectId}
            onChange={setSubjectId}
          />
        )}
        {points.length > 1 && (
          <Choice
            label={words.point}
            options={points.map(({ id, title }) => ({ id, name: title }))}
            value={point}
            onChange={setPoint}
          />
        )}
        <div role="status">
          <p className="small">{words.gate}</p>
          {subject && judged && <PointVerdict label={subject.label} point={judged} />}
        </div>
        <Field label={words.words} value={text} onChange={setText} lines={3} takesFocus isRequired />
        <Field label={words.listener} value={listener} onChange={setListener} isRequired />
        <Tick on={readBack} onChange={setReadBack}>
          {words.readBack}
        </Tick>
        <ProblemNote problem={send.error} />
        <Button
          look="main"
          type="submit"
          isDisabled={send.isPending || text.trim() === '' || listener.trim() === '' || subjectId === ''}
        >
          {send.isPending ? WORDS.sending : words.action}
        </Button>
      </Form>
    </Sheet>
  );
}
