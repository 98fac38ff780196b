import { useState } from 'react';
import { Form } from 'react-aria-components';
import { isGood, readBy } from '../../core/controls/criteria.js';
import type { PlannedControl } from '../../core/controls/planned.js';
import type { RunEventData } from '../../core/run/events.js';
import type { ReadControl } from '../../core/run/state.js';
import type { RunView } from '../../core/run/view.js';
import { Button } from '../parts/Button.js';
import { Field } from '../parts/Field.js';
import { AddPicture } from '../pictures/AddPicture.js';
import { ControlNumbers } from './ControlNumbers.js';
import { type Grades, UsualCriteria, WrittenCriteria } from './Criteria.js';
import './results.css';
import { RESULTS } from './words.js';

const words = RESULTS.reading;

type Reading = Omit<RunEventData['control-read'], 'control'>;

/**
 * A control's reading, by the criteria that the plan of its run writes or else the usual ones: one tap when it reacted as
 * expected; when it did not, what was seen and which criterion failed.
 */
export function ReadingForm({
  run,
  subjectId,
  earlier,
  personId,
  onRead,
}: {
  run: RunView;
  /** The control in the run. */
  subjectId: string;
  /** The reading that stands now, if somebody has read it. */
  earlier: ReadControl | undefined;
  /** Who reads. */
  personId: string | undefined;
  onRead: (reading: Reading) => void;
}) {
  const protocol = run.revision.content;
  const control = run.subjects.find((each) => each.subjectId === subjectId)?.control;
  const planned = run.controls.find(({ id }) => id === control);
  const { criteria, written } = planned ? readBy(protocol, planned) : { criteria: [], written: false };
  const [failing, setFailing] = useState(false);
  const [observed, setObserved] = useState('');
  const [grades, setGrades] = useState<Grades>({});
  const [pictures, setPictures] = useState<string[]>([]);
  const kind = kindOf(earlier, personId);
  const passable = criteria.map((criterion) => ({ criterion, grade: grades[criterion.code] }));
  const poor = passable.some(
    ({ criterion, grade }) => grade !== undefined && (written ? !isGood(criterion, grade) : grade === 'fail'),
  );
  // Whoever says that it is as expected says so of each thing that is that or not; how good a grade is, nobody can guess.
  const ungraded = written ? criteria.filter(({ code, grades: scale }) => scale !== null && !(code in grades)) : [];
  const unjudged = written ? criteria.filter(({ code }) => !(code in grades)) : [];

  const read = (passed: boolean, seen: string): void => {
    const all: Grades = passed
      ? { ...Object.fromEntries(unjudged.map(({ code }) => [code, 'pass'])), ...grades }
      : grades;
    const judged = criteria.flatMap(({ code }) => {
      const grade = all[code];
      return grade === undefined ? [] : [{ criterion: code, grade }];
    });
    onRead({
      observed: seen,
      passed,
      ...(kind !== 'first' && { reading: kind }),
      ...(judged.length > 0 && { criteria: judged }),
      ...(pictures.length > 0 && { pictures }),
    });
  };
  return (
    <div className="form">
      {planned && (
        <p>
          <strong>{RESULTS.expected}:</strong> {planned.expected}
        </p>
      )}
      {kind === 'second' && <p className="held-note">{words.second}</p>}
      {kind === 'agreed' && <p className="held-note">{words.settle}</p>}
      {kind === 'first' && planned?.secondReader === true && <p className="small">{words.asksSecond}</p>}
      {written && <WrittenCriteria criteria={criteria} grades={grades} onChange={setGrades} />}
      {control !== undefined && <ControlNumbers runId={run.id} protocol={protocol.id} control={control} />}
      <Pictures run={run} subjectId={subjectId} asked={planned} count={pictures.length} onAdd={setPictures} />
      {failing ? (
        <Form
          className="form"
          onSubmit={(event) => {
            event.preventDefault();
            if (observed.trim() !== '' && unjudged.length === 0) read(false, observed.trim());
          }}
        >
          <Field label={words.observed} value={observed} onChange={setObserved} lines={2} takesFocus isRequired />
          {!written && <UsualCriteria criteria={criteria} grades={grades} onChange={setGrades} />}
          {unjudged.length > 0 && <p className="small">{words.judgeFirst(titles(unjudged))}</p>}
          <div className="ways">
            <Button look="main" type="submit" isDisabled={observed.trim() === '' || unjudged.length > 0}>
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
          {ungraded.length > 0 && <p className="small">{words.judgeFirst(titles(ungraded))}</p>}
          {written && poor && <p className="held-note">{words.poor}</p>}
          <div className="ways">
            <Button look="main" isDisabled={poor || ungraded.length > 0} onPress={() => read(true, RESULTS.passed)}>
              {words.passes}
            </Button>
            <Button onPress={() => setFailing(true)}>{words.fails}</Button>
          </div>
          {!written && criteria.length > 0 && (
            <details>
              <summary>{words.gradeFirst}</summary>
              <UsualCriteria criteria={criteria} grades={grades} onChange={setGrades} />
            </details>
          )}
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

function titles(criteria: readonly { title: string }[]): string {
  return criteria.map(({ title }) => title).join(', ');
}

function Pictures({
  run,
  subjectId,
  asked,
  count,
  onAdd,
}: {
  run: RunView;
  subjectId: string;
  asked: PlannedControl | undefined;
  count: number;
  onAdd: (add: (pictures: string[]) => string[]) => void;
}) {
  return (
    <details>
      <summary>
        {asked?.pictures === true ? words.picturesAsked : words.picture}
        {count > 0 && <span className="mark-done"> {words.attached(count)}</span>}
      </summary>
      <AddPicture
        runId={run.id}
        subjectId={subjectId}
        onKept={(fileId) => onAdd((pictures) => [...pictures, fileId])}
      />
    </details>
  );
}
