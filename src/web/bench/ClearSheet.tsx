import { controlReadings } from '../../core/run/state.js';
import { PedalButton } from '../parts/PedalButton.js';
import { Sheet } from '../parts/Sheet.js';
import { WORDS } from '../words.js';
import { useRecord } from './acts.js';
import type { Standing } from './bench.js';
import { BENCH } from './words.js';

export function ClearSheet({ run, onClose }: { run: Standing; onClose: () => void }) {
  const record = useRecord();
  const readings = controlReadings(run.state.events);
  const unread = run.subjects.some(({ role, subjectId }) => role === 'control' && !readings.has(subjectId));
  return (
    <Sheet title={BENCH.clear.title} onClose={onClose} closeWord={WORDS.goBack}>
      <p>{BENCH.clear.text}</p>
      {unread && <p className="held-note">{BENCH.clear.unread}</p>}
      <div className="ways">
        <PedalButton
          takesFocus
          onAct={(stamp) => {
            record(run.id, 'cleared', {}, { stamp });
            onClose();
          }}
        >
          {BENCH.clear.action}
        </PedalButton>
      </div>
    </Sheet>
  );
}
