import { controlReadings } from '../../core/run/state.js';
import { useSession } from '../app/session.js';
import { ReadingForm } from '../control-results/ReadingForm.js';
import { shortLabel } from '../parts/format.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { useRecord } from './acts.js';
import type { Standing } from './bench.js';
import { BENCH } from './words.js';

/** What was expected of a control, and its reading: one tap when it reacted so. */
export function ControlSheet({ run, subjectId, onClose }: { run: Standing; subjectId: string; onClose: () => void }) {
  const { person } = useSession();
  const record = useRecord();
  const subject = run.subjects.find((each) => each.subjectId === subjectId);
  if (!subject) return null;
  return (
    <Sheet title={BENCH.control.title(shortLabel(subject.label))} onClose={onClose} closeWord={WORDS.cancel}>
      <p>{subject.description}</p>
      <ReadingForm
        run={run.view}
        subjectId={subjectId}
        earlier={controlReadings(run.state.events).get(subjectId)}
        personId={person.id}
        onRead={(reading) => {
          record(run.id, 'control-read', { control: subjectId, ...reading });
          onClose();
        }}
      />
    </Sheet>
  );
}
