import { useQueryClient } from '@tanstack/react-query';
import { controlReadings, runState } from '../../core/run/state.js';
import type { RunEventData } from '../../core/run/events.js';
import { api, got, once } from '../api.js';
import { useSession } from '../app/session.js';
import { useChange } from '../parts/change.js';
import { shortLabel } from '../parts/format.js';
import { Waiting } from '../parts/Page.js';
import { ProblemNote } from '../parts/ProblemNote.js';
import { Sheet } from '../parts/Sheet.js';
import { benchClock } from '../parts/ticker.js';
import { useRun } from '../release/run.js';
import { WORDS } from '../words.js';
import { RESULTS_KEY } from './queries.js';
import { ReadingForm } from './ReadingForm.js';

/** Reads a control of a run from any page: one tap when it reacted as expected. */
export function ResultSheet({ runId, subjectId, onClose }: { runId: string; subjectId: string; onClose: () => void }) {
  const { person } = useSession();
  const queries = useQueryClient();
  const { data: run, error, refetch } = useRun(runId);
  const reading = useChange(
    (data: RunEventData['control-read'], key) =>
      got(
        api.POST('/api/runs/{id}/events', {
          params: { path: { id: runId } },
          body: { kind: 'control-read', data, stamp: benchClock.now() },
          ...once(key),
        }),
      ),
    () => {
      void queries.invalidateQueries({ queryKey: ['runs'] });
      void queries.invalidateQueries({ queryKey: RESULTS_KEY });
      onClose();
    },
  );
  const subject = run?.subjects.find((each) => each.subjectId === subjectId);
  if (!run || !subject) {
    return (
      <Sheet title={WORDS.loading} onClose={onClose}>
        <Waiting error={error} onRetry={() => void refetch()} />
      </Sheet>
    );
  }
  const { events } = runState(run.revision.content, run.events);
  return (
    <Sheet title={shortLabel(subject.label)} onClose={onClose} closeWord={WORDS.cancel}>
      <p>{subject.description}</p>
      <ReadingForm
        run={run}
        subjectId={subjectId}
        earlier={controlReadings(events).get(subjectId)}
        personId={person.id}
        onRead={(data) => reading.ask({ control: subjectId, ...data })}
      />
      <ProblemNote problem={reading.error} />
    </Sheet>
  );
}
