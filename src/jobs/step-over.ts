import { stepWindow } from '../core/protocol/windows.js';
import { runState } from '../core/run/state.js';
import { span } from '../core/time/span.js';
import { loadRun } from '../store/questions/runs.js';
import { JobRow } from '../store/rows/jobs.entity.js';
import { RunEventRow } from '../store/rows/runs.entity.js';
import { stepOverAt } from './due.js';
import { JOB_NAMES } from './names.js';
import type { Handler } from './runner.js';

/** Tells that the step which the event started has passed its longest time and has still not ended. */
export const stepOver: Handler = async (eventId, { store, clock, laboratoryId }) => {
  const { event, run, state } = await store.read(laboratoryId, async (view) => {
    const event = await view.need(RunEventRow, { id: eventId }, `run event ${eventId}`);
    const { run, revision, events } = await loadRun(view, event.runId);
    return { event, run, state: runState(revision.content, events) };
  });
  // What is entered afterwards is over already; nobody stands at the bench to be told.
  if (event.stamp.late || state.abandoned || state.cleared) return;
  const open = state.steps.flatMap(({ step, performances }) =>
    performances.flatMap(({ started, ended }) => (started.eventId === eventId && !ended ? [{ step, started }] : [])),
  )[0];
  const overAt = open && stepOverAt(open.started.stamp.at, open.step);
  if (!overAt) return;
  await store.housekeep(laboratoryId, async (unit) => {
    if (overAt > clock.now()) {
      // The start was corrected to a later instant.
      const id = `${JOB_NAMES.stepOver}:${eventId}:${overAt}`;
      if (!(await unit.one(JobRow, { id }))) await unit.enqueue(JOB_NAMES.stepOver, eventId, overAt, id);
      return;
    }
    const longest = span(stepWindow(open.step).maxMs ?? 0);
    await unit.tell(
      `${JOB_NAMES.stepOver}:${eventId}`,
      `${titleOf(open.step.id)} has passed its longest time of ${longest} on station ${run.station}`,
      run.id,
    );
  });
};

/** 'rinse-dye' reads 'Rinse dye'. */
function titleOf(stepId: string): string {
  const words = stepId.replaceAll('-', ' ');
  return words.charAt(0).toUpperCase() + words.slice(1);
}
