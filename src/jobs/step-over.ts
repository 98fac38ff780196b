import { span } from '../core/time/span.js';
import { stepWindow } from '../core/protocol/windows.js';
import { runState } from '../core/run/state.js';
import type { RunEvent } from '../core/run/events.js';
import { RevisionRow } from '../store/rows/protocols.entity.js';
import { RunEventRow, RunRow } from '../store/rows/runs.entity.js';
import { stepOverAt } from './due.js';
import { JOB_NAMES } from './names.js';
import type { Handler } from './runner.js';

/** Tells that the step which the event started has passed its longest time and still not ended. */
export const stepOver: Handler = async (eventId, { store, clock, laboratoryId }) => {
  const facts = await store.read(laboratoryId, async (view) => {
    const event = await view.need(RunEventRow, { id: eventId }, `run event ${eventId}`);
    const run = await view.need(RunRow, { id: event.runId }, `run ${event.runId}`);
    const { content } = await view.need(RevisionRow, { id: run.revisionId }, `revision ${run.revisionId}`);
    const events = await view.all(RunEventRow, { runId: run.id });
    return { run, state: runState(content, events as RunEvent[]) };
  });
  const { run, state } = facts;
  if (state.abandoned || state.cleared) return;
  for (const { step, performances } of state.steps) {
    const open = performances.find(({ started, ended }) => started.eventId === eventId && !ended);
    const over = open && stepOverAt(open.started.stamp.at, step);
    if (!over) continue;
    await store.housekeep(laboratoryId, async (unit) => {
      // A correction may have moved the start.
      if (over > clock.now()) return unit.enqueue(JOB_NAMES.stepOver, eventId, over, `${JOB_NAMES.stepOver}:${eventId}:${over}`);
      const name = step.id.replaceAll('-', ' ');
      return unit.tell(
        `${JOB_NAMES.stepOver}:${eventId}`,
        `${name.charAt(0).toUpperCase()}${name.slice(1)} has passed its longest time of ${span(stepWindow(step).maxMs ?? 0)} on station ${run.station}`,
        run.id,
      );
    });
  }
};
