import { useState } from 'react';
import { Form } from 'react-aria-components';
import { Button } from '../parts/Button.js';
import { Choice } from '../parts/Choice.js';
import { Field } from '../parts/Field.js';
import { shortLabel } from '../parts/format.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { useRecord } from './acts.js';
import type { Standing } from './bench.js';
import { BENCH } from './words.js';

const words = BENCH.control;

/** What was expected of a control beside what is seen, and the verdict of the person who reads it. */
export function ControlSheet({ run, subjectId, onClose }: { run: Standing; subjectId: string; onClose: () => void }) {
  const record = useRecord();
  const [observed, setObserved] = useState('');
  const [passed, setPassed] = useState<'yes' | 'no' | null>(null);
  const subject = run.subjects.find((each) => each.subjectId === subjectId);
  const requirement = run.view.revision.content.controls.find(({ id }) => id === subject?.control);
  if (!subject) return null;
  return (
    <Sheet title={words.title(shortLabel(subject.label))} onClose={onClose} closeWord={WORDS.cancel}>
      <Form
        className="form"
        onSubmit={(event) => {
          event.preventDefault();
          if (observed.trim() === '' || passed === null) return;
          record(run.id, 'control-read', { control: subjectId, observed: observed.trim(), passed: passed === 'yes' });
          onClose();
        }}
      >
        <p>{subject.description}</p>
        {requirement && (
          <p>
            <strong>{words.expected}:</strong> {requirement.expected}
          </p>
        )}
        <Field label={words.observed} value={observed} onChange={setObserved} lines={2} takesFocus isRequired />
        <Choice
          label={words.verdict}
          options={[
            { id: 'yes', name: words.passed },
            { id: 'no', name: words.failed },
          ]}
          value={passed}
          onChange={setPassed}
        />
        <Button look="main" type="submit" isDisabled={observed.trim() === '' || passed === null}>
          {words.action}
        </Button>
      </Form>
    </Sheet>
  );
}
