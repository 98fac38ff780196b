import { useState } from 'react';
import { Form } from 'react-aria-components';
import { type Criterion, usualCriteria } from '../../core/controls/criteria.js';
import type { CriterionReading } from '../../core/controls/result.js';
import type { Protocol } from '../../core/protocol/protocol.js';
import type { RunEventData } from '../../core/run/events.js';
import type { ReadControl } from '../../core/run/state.js';
import { Button } from '../parts/Button.js';
import { Field } from '../parts/Field.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { SelectField } from '../parts/SelectField.js';
import { sendPicture } from './queries.js';
import { RESULTS } from './words.js';

const words = RESULTS.reading;

type Reading = Omit<RunEventData['control-read'], 'control'>;

/** A control's reading: one tap when it reacted as expected; when it did not, what was seen and which criterion failed. */
export function ReadingForm({
  protocol,
  control,
  earlier,
  personId,
  onRead,
}: {
  protocol: Protocol;
  /** Id of the control requirement. */
  control: string | undefined;
  /** The reading that stands now, if somebody has read it. */
  earlier: ReadControl | undefined;
  /** Who reads. */
  personId: string | undefined;
  onRead: (reading: Reading) => void;
}) {
  const requirement = protocol.controls.find(({ id }) => id === control);
  const criteria = requirement ? usualCriteria(protocol, requirement) : [];
  const [failing, setFailing] = useState(false);
  const [observed, setObserved] = useState('');
  const [grades, setGrades] = useState<Record<string, string>>({});
  const [pictures, setPictures] = useState<string[]>([]);
  const kind = kindOf(earlier, personId);
  const graded = criteria.flatMap(({ code }): CriterionReading[] => {
    const grade = grades[code] ?? '';
    return grade === '' ? [] : [{ criterion: code, grade: gradeOf(grade) }];
  });
  const read = (passed: boolean, seen: string): void =>
    onRead({
      observed: seen,
      passed,
      ...(kind !== 'first' && { reading: kind }),
      ...(graded.length > 0 && { criteria: graded }),
      ...(pictures.length > 0 && { pictures }),
    });
  const more = (
    <>
      {criteria.map((criterion) => (
        <Grade
          key={criterion.code}
          criterion={criterion}
          value={grades[criterion.code] ?? ''}
          onChange={(grade) => setGrades({ ...grades, [criterion.code]: grade })}
        />
      ))}
      <Pictures pictures={pictures} onAdd={(id) => setPictures([...pictures, id])} />
    </>
  );
  const contradicts = graded.some(({ grade }) => grade === 'fail');
  return (
    <div className="form">
      {requirement && (
        <p>
          <strong>{RESULTS.expected}:</strong> {requirement.expected}
        </p>
      )}
      {kind === 'second' && <p className="held-note">{words.second}</p>}
      {kind === 'agreed' && <p className="held-note">{words.settle}</p>}
      {failing ? (
        <Form
          className="form"
          onSubmit={(event) => {
            event.preventDefault();
            if (observed.trim() !== '') read(false, observed.trim());
          }}
        >
          <Field label={words.observed} value={observed} onChange={setObserved} lines={2} takesFocus isRequired />
          {more}
          <div className="ways">
            <Button look="main" type="submit" isDisabled={observed.trim() === ''}>
              {words.record}
            </Button>
            <Button look="quiet" onPress={() => setFailing(false)}>
              {words.back}
            </Button>
          </div>
        </Form>
      ) : (
        <>
          <p>{words.asked}</p>
          <div className="ways">
            <Button look="main" isDisabled={contradicts} onPress={() => read(true, RESULTS.passed)}>
              {words.passes}
            </Button>
            <Button onPress={() => setFailing(true)}>{words.fails}</Button>
          </div>
          <details>
            <summary>{words.gradeFirst}</summary>
            <div className="form">{more}</div>
          </details>
        </>
      )}
    </div>
  );
}

/** Another person's reading after the first is the second; after two that disagree it settles them. */
function kindOf(earlier: ReadControl | undefined, personId: string | undefined): 'first' | 'second' | 'agreed' {
  if (!earlier) return 'first';
  if (earlier.second === 'disagrees') return 'agreed';
  return earlier.second === 'none' && earlier.personId !== personId ? 'second' : 'first';
}

function gradeOf(text: string): CriterionReading['grade'] {
  return text === 'pass' || text === 'fail' ? text : (Number(text) as CriterionReading['grade']);
}

function Grade({
  criterion: { title, expected, grades },
  value,
  onChange,
}: {
  criterion: Criterion;
  value: string;
  onChange: (grade: string) => void;
}) {
  const options =
    grades === null
      ? [
          { id: 'pass', name: words.pass },
          { id: 'fail', name: words.fail },
        ]
      : grades.map((name, grade) => ({ id: String(grade), name: `${grade}: ${name}` }));
  return (
    <SelectField
      label={title}
      help={expected}
      value={value}
      onChange={onChange}
      options={options}
      empty={words.notGraded}
    />
  );
}

function Pictures({ pictures, onAdd }: { pictures: readonly string[]; onAdd: (id: string) => void }) {
  const [sending, setSending] = useState(false);
  const [problem, setProblem] = useState<Error | null>(null);
  const send = async (file: File): Promise<void> => {
    setSending(true);
    setProblem(null);
    try {
      onAdd(await sendPicture(file));
    } catch (error) {
      setProblem(error instanceof Error ? error : new Error(String(error)));
    } finally {
      setSending(false);
    }
  };
  return (
    <div className="field">
      <label>
        {words.picture}
        <input
          type="file"
          accept="image/png,image/jpeg,image/tiff"
          onChange={({ target }) => {
            const [file] = target.files ?? [];
            if (file) void send(file);
            target.value = '';
          }}
        />
      </label>
      {sending && <p className="small">{words.sending}</p>}
      {pictures.length > 0 && <p className="small mark-done">{words.attached(pictures.length)}</p>}
      <ProblemNote problem={problem} />
    </div>
  );
}
