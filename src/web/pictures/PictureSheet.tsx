import { shortLabel } from '../parts/format.js';
import { say } from '../parts/notices.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { AddPicture } from './AddPicture.js';
import { PICTURES } from './words.js';

const words = PICTURES.ofRun;

/** Asks for a picture of one specimen, slide or control of a run. */
export function PictureSheet({
  runId,
  subject: { subjectId, label, role },
  onClose,
}: {
  runId: string;
  subject: { subjectId: string; label: string; role: 'patient' | 'control' };
  onClose: () => void;
}) {
  return (
    <Sheet title={words.title(shortLabel(label))} onClose={onClose} closeWord={WORDS.cancel}>
      {role === 'patient' && <p>{words.neverMeasured}</p>}
      <AddPicture
        runId={runId}
        subjectId={subjectId}
        onKept={() => {
          say(words.kept);
          onClose();
        }}
      />
    </Sheet>
  );
}
