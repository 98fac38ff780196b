import { wholePasses } from '../../core/controls/result.js';
import { coveredBy } from '../../core/controls/covered.js';
import { type Instant, plusMs } from '../../core/time/instant.js';
import { ReleaseRow } from '../rows/runs.entity.js';
import type { View } from '../view.js';
import { ALL_KNOWN } from './containers.js';
import { controlResult, controlResults } from './control-results.js';
import { LAST_INSTANT, lotsOf, reachOf } from './failures.js';
import { type LoadedRun, loadRun } from './runs.js';
import { subjectsOf } from './subjects.js';

/** What is to be done on one specimen or slide that a failed control covers. */
export type CoveredTodo = 'look at the released result again' | 'hold it until a repeat passed';

/** A run that a failed control covers, with its patients' specimens and slides and what of them was released. */
export interface CoveredByFailure {
  runId: string;
  startedAt: Instant;
  station: string;
  title: string;
  subjects: {
    subjectId: string;
    label: string;
    description: string;
    releases: { id: string; point: string; kind: string; at: Instant; name: string }[];
    todo: CoveredTodo;
  }[];
}

/** Ids of the runs for patients that a result covers if it failed, the oldest first; none once it was withdrawn. */
export async function runIdsCoveredByFailure(view: View, resultId: string): Promise<string[]> {
  return (await covered(view, resultId)).map(({ run }) => run.id);
}

/** Each run for patients that a failed control covers, with what was released of it and what to do. */
export async function runsCoveredByFailure(view: View, resultId: string): Promise<CoveredByFailure[]> {
  const runs: CoveredByFailure[] = [];
  for (const { run, revision, subjects } of await covered(view, resultId)) {
    const patients = subjects.filter(({ role }) => role === 'patient').map(({ subjectId }) => subjectId);
    const releases = await view.all(ReleaseRow, { runId: run.id }, { order: { seq: 'ASC' } });
    const details = await subjectsOf(view, patients);
    runs.push({
      runId: run.id,
      startedAt: run.startedAt,
      station: run.station,
      title: revision.title,
      subjects: details.map(({ id, label, description }) => {
        const own = releases.filter(({ subjectId }) => subjectId === id);
        return {
          subjectId: id,
          label,
          description,
          releases: own.map(({ id: release, point, kind, signature: { at, name } }) => ({
            id: release,
            point,
            kind,
            at,
            name,
          })),
          todo: own.length > 0 ? 'look at the released result again' : 'hold it until a repeat passed',
        };
      }),
    });
  }
  return runs;
}

async function covered(view: View, resultId: string): Promise<LoadedRun[]> {
  const failure = await controlResult(view, resultId);
  if (!failure || failure.passed) return [];
  const { before, after } = await reachOf(view, failure);
  const { protocolId, requirement, revisionId } = failure;
  const passes = wholePasses(
    await controlResults(view, {
      protocolId,
      requirement,
      ...(before && { from: before.stainedAt }),
      ...(after && { to: plusMs(after.stainedAt, 1) }),
    }),
  );
  const candidates = (await (
    await view.ready()
  ).query(
    `SELECT run.id FROM run JOIN revision ON revision.id = run.revision_id
      WHERE run.laboratory_id = $1 AND run.purpose = 'patients' AND revision.protocol_id = $2
        AND run.started_at >= $3 AND run.started_at <= $4 ${revisionId === null ? '' : 'AND run.revision_id = $5'}
      ORDER BY run.started_at, run.id`,
    [
      view.laboratoryId,
      protocolId,
      before?.stainedAt ?? '',
      after?.stainedAt ?? LAST_INSTANT,
      ...(revisionId === null ? [] : [revisionId]),
    ],
  )) as { id: string }[];
  const runs: LoadedRun[] = [];
  for (const { id } of candidates) {
    const loaded = await loadRun(view, id);
    const lots = await lotsOf(view, loaded, ALL_KNOWN);
    if (coveredBy(failure, { runId: id, startedAt: loaded.run.startedAt, lots }, passes)) runs.push(loaded);
  }
  return runs;
}
