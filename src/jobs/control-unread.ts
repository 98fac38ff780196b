import { CONTROLS_READ_WITHIN_MS } from '../core/controls/schedule.js';
import { controlFindings } from '../core/gate/controls.js';
import { runState } from '../core/run/state.js';
import { span } from '../core/time/span.js';
import { lastSeq } from '../store/questions/entries.js';
import { loadRun, runFacts } from '../store/questions/runs.js';
import { JOB_NAMES } from './names.js';
import type { Handler } from './runner.js';

/** Tells which required controls of a run have not been read, by the gate's own rules. */
export const controlUnread: Handler = async (runId, { store, laboratoryId }) => {
  const { run, facts } = await store.read(laboratoryId, async (view) => {
    const loaded = await loadRun(view, runId);
    return { run: loaded.run, facts: await runFacts(view, loaded, await lastSeq(view)) };
  });
  const state = runState(facts.protocol, facts.events);
  if (state.abandoned) return;
  const unread = controlFindings(facts, state).filter(
    ({ rule }) => rule === 'control-unread' || rule === 'control-missing',
  );
  if (unread.length === 0) return;
  const since = `${span(CONTROLS_READ_WITHIN_MS)} after the start of the run on station ${run.station}`;
  await store.housekeep(laboratoryId, (unit) =>
    unit.tell(`${JOB_NAMES.controlUnread}:${runId}`, `${since}: ${unread.map(({ what }) => what).join(' ')}`, runId),
  );
};
