import type { ControlResult } from '../../core/controls/result.js';
import { lotsUsed } from '../../core/gate/controls.js';
import { type EventOf, runState, trayContainers } from '../../core/run/state.js';
import { localDay } from '../../core/time/zone.js';
import { containerFacts } from '../questions/containers.js';
import { controlResult } from '../questions/control-results.js';
import { needLaboratory } from '../questions/laboratories.js';
import type { LoadedRun } from '../questions/runs.js';
import { ControlResultChangeRow, ControlResultRow } from '../rows/control-results.entity.js';
import { FileRow } from '../rows/files.entity.js';
import { LookbackRow } from '../rows/lookback.entity.js';
import type { Unit } from '../unit.js';
import { openLookback } from './open-lookback.js';
import { questionReleases } from './question-releases.js';

/**
 * Keeps what a run's event says of a control as a reading of its own, in the same unit as the event, and opens a lookback
 * when the control failed. A run for training is practice: its readings answer for nothing.
 */
export async function recordReading(unit: Unit, loaded: LoadedRun, event: EventOf<'control-read'>): Promise<void> {
  const { run, revision, subjects } = loaded;
  const { control, observed, passed, reading = 'first', criteria, pictures } = event.data;
  for (const id of pictures ?? []) await unit.need(FileRow, { id }, `file ${id}; send the picture first`);
  const requirement = subjects.find(({ subjectId }) => subjectId === control)?.control;
  if (run.purpose === 'training' || requirement == null) return;
  const { zone } = await needLaboratory(unit);
  const row = await unit.insert(ControlResultRow, {
    eventId: event.id,
    runId: run.id,
    protocolId: revision.protocolId,
    revisionId: revision.id,
    requirement,
    subjectId: control,
    reading,
    at: event.stamp.at,
    stainedAt: run.startedAt,
    day: localDay(event.stamp.at, zone),
    passed,
    observed,
    personId: event.personId,
    lots: await trayLots(unit, loaded),
    criteria: criteria ?? null,
    pictures: pictures ?? null,
  });
  await lookBackOn(unit, await controlResult(unit, row.id));
}

/** Keeps that a reading was withdrawn or made at another time. */
export async function correctReading(unit: Unit, event: EventOf<'corrected'>): Promise<void> {
  const row = await unit.one(ControlResultRow, { eventId: event.data.event });
  if (!row) return;
  const { withdrawn = false, at = null, reason } = event.data;
  const { zone } = await needLaboratory(unit);
  await unit.insert(ControlResultChangeRow, {
    resultId: row.id,
    withdrawn,
    at,
    day: at === null ? null : localDay(at, zone),
    reason,
    personId: event.personId,
  });
  // A failing reading that is taken back can only mend.
  if (row.passed || !withdrawn) {
    const { seq, runId, protocolId, revisionId } = row;
    await questionReleases(
      unit,
      {
        cause: 'control reading corrected',
        causeId: row.id,
        reason: `The control "${row.requirement}": ${reason}`,
        path: '/controls/results',
      },
      { reading: { seq, runId, protocolId, revisionId } },
    );
  }
  if (withdrawn) return;
  await lookBackOn(unit, await controlResult(unit, row.id));
}

/** Opens the lookback of a result that did not pass, once. */
export async function lookBackOn(unit: Unit, result: ControlResult | null): Promise<void> {
  if (!result || result.passed || (await unit.one(LookbackRow, { cause: 'control failed', causeId: result.id })))
    return;
  await openLookback(unit, { cause: 'control failed', causeId: result.id, reason: result.observed });
}

/** The lot of each reagent on a run's tray by the reagent's code. */
export async function trayLots(unit: Unit, { revision, events }: LoadedRun): Promise<Record<string, string>> {
  const containers = await containerFacts(unit, trayContainers(events));
  return lotsUsed({ containers }, runState(revision.content, events));
}
