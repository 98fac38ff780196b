import { useState } from 'react';
import { shortLabel } from '../parts/format.js';
import { say } from '../parts/notices.js';
import { SelectField } from '../parts/SelectField.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { AddPicture } from './AddPicture.js';
import { PICTURES } from './words.js';

const words = PICTURES.ofRun;

/** Asks for a picture of a specimen, slide or control of a run, at a step where it belongs to one. */
export function PictureSheet({
  runId,
  subjects,
  step,
  onClose,
}: {
  runId: string;
  /** Those that it may show, at least one. */
  subjects: readonly { subjectId: string; label: string; role: 'patient' | 'control' }[];
  step?: { id: string; name: string };
  onClose: () => void;
}) {
  const [chosen, setChosen] = useState(subjects[0]?.subjectId ?? '');
  const subject = subjects.find(({ subjectId }) => subjectId === chosen);
  const label = shortLabel(subject?.label ?? '');
  return (
    <Sheet title={step ? words.titleAt(step.name) : words.title(label)} onClose={onClose} closeWord={WORDS.cancel}>
      {subjects.length > 1 && (
        <SelectField
          label={words.of}
          value={chosen}
          onChange={setChosen}
          options={subjects.map((each) => ({ id: each.subjectId, name: shortLabel(each.label) }))}
        />
      )}
      {subject?.role === 'patient' && <p>{words.neverMeasured}</p>}
      <AddPicture
        runId={runId}
        subjectId={chosen}
        {...(step && { step: step.id })}
        onKept={() => {
          say(words.kept);
          onClose();
        }}
      />
    </Sheet>
  );
}
