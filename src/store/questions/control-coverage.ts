import { In } from 'typeorm';
import { weekOf } from '../../core/controls/calendar.js';
import type { CoveringResult, Use } from '../../core/controls/coverage.js';
import type { ControlPlan, PlanTime } from '../../core/controls/planned.js';
import type { ControlResult } from '../../core/controls/result.js';
import type { ControlFacts } from '../../core/gate/facts.js';
import { type Instant, plusMs } from '../../core/time/instant.js';
import { localDay } from '../../core/time/zone.js';
import { SealedRow } from '../rows/record.entity.js';
import { RunRow, RunSubjectRow } from '../rows/runs.entity.js';
import { SubjectRow } from '../rows/specimens.entity.js';
import type { View } from '../view.js';
import { planAt } from './control-plans.js';
import { controlResults } from './control-results.js';
import type { LoadedRun } from './loaded-run.js';

const DAY_MS = 86_400_000;

/** How long before a use a clock may look for its control, where no lot and no number of days says so. */
const REACH_DAYS: Partial<Record<PlanTime, number>> = {
  'each use': 1,
  'each day of use': 2,
  'each week of use': 8,
  'each month of use': 32,
};
/** How long after a run another one may still answer for it. The limit is ours; a control that late is a repeat. */
const LATEST_DAYS = 62;

/** What the gate looks at of controls, from facts up to a record number, given the lots that stood on the run's tray. */
export async function controlFacts(
  view: View,
  { run, revision, subjects }: LoadedRun,
  { zone, lotIds, upToSeq }: { zone: string; lotIds: readonly string[]; upToSeq: number },
): Promise<ControlFacts> {
  const plan = await planAt(view, revision.content, run.startedAt, upToSeq);
  const day = localDay(run.startedAt, zone);
  const base = {
    plan,
    revisionId: revision.id,
    station: run.station,
    day,
    week: weekOf(day),
    month: day.slice(0, 7),
    patients: [],
    results: [],
    uses: [],
  };
  const own = new Set(subjects.map(({ control }) => control));
  const asked = plan.controls.filter(({ id, required }) => required && !own.has(id));
  // Controls that stand in the run answer for themselves.
  if (asked.length === 0) return base;
  const clocks = asked.flatMap((control) => control.clocks);
  const days = Math.max(
    ...clocks.map(({ when, n }) => REACH_DAYS[when] ?? (when === 'every n days' ? (n ?? 0) + 1 : 0)),
  );
  const received = await firstReceived(view, lotIds);
  const from = [plusMs(run.startedAt, -days * DAY_MS), ...(received === null ? [] : [received])].sort()[0];
  const found = await controlResults(view, {
    protocolId: revision.protocolId,
    revisionId: revision.id,
    ...(from !== undefined && { from }),
    to: plusMs(run.startedAt, LATEST_DAYS * DAY_MS),
    upToSeq,
  });
  const ids = new Set(asked.map(({ id }) => id));
  const others = found.filter(({ runId, requirement }) => runId !== run.id && ids.has(requirement));
  const results = await asCovering(view, others, plan.use, zone);
  const counted = clocks.some(({ when }) => when === 'every n slides');
  return {
    ...base,
    results,
    patients: plan.use.counts === 'patient' ? ((await patientsOf(view, [run.id])).get(run.id) ?? []) : [],
    uses: counted
      ? await usesCounted(view, {
          protocolId: revision.protocolId,
          from: results[0]?.at ?? run.startedAt,
          to: run.startedAt,
          upToSeq,
        })
      : [],
  };
}

/** When the first of some lots came here; no control was stained with any of them before. */
async function firstReceived(view: View, lotIds: readonly string[]): Promise<Instant | null> {
  if (lotIds.length === 0) return null;
  const places = lotIds.map((_, n) => `$${n + 2}`).join(', ');
  const rows = (await (
    await view.ready()
  ).query(`SELECT MIN(received_at) AS "at" FROM lot WHERE laboratory_id = $1 AND id IN (${places})`, [
    view.laboratoryId,
    ...lotIds,
  ])) as { at: Instant | null }[];
  return rows[0]?.at ?? null;
}

/** Results of controls as the clocks look at them, earliest stained first. */
export async function asCovering(
  view: View,
  results: readonly ControlResult[],
  use: ControlPlan['use'],
  zone: string,
): Promise<CoveringResult[]> {
  const runIds = [...new Set(results.flatMap(({ runId }) => runId ?? []))];
  const stations = use.counts === 'session' ? await stationsOf(view, runIds) : new Map<string, string>();
  const patients = use.counts === 'patient' ? await patientsOf(view, runIds) : new Map<string, string[]>();
  return results
    .map(({ id, requirement, runId, revisionId, stainedAt, at, passed, lots }): CoveringResult => {
      const day = localDay(stainedAt, zone);
      return {
        id,
        requirement,
        runId,
        revisionId,
        station: stations.get(runId ?? '') ?? null,
        at: stainedAt,
        day,
        week: weekOf(day),
        month: day.slice(0, 7),
        readAt: at,
        passed,
        lots,
        patients: patients.get(runId ?? '') ?? [],
      };
    })
    .sort((a, b) => (a.at < b.at ? -1 : 1));
}

async function stationsOf(view: View, runIds: readonly string[]): Promise<Map<string, string>> {
  const rows = await view.all(RunRow, { id: In([...runIds]) });
  return new Map(rows.map(({ id, station }) => [id, station]));
}

/** By run, the numbers of its patients; a number that was removed by law tells no patient. */
export async function patientsOf(view: View, runIds: readonly string[]): Promise<Map<string, string[]>> {
  const rows = await view.all(RunSubjectRow, { runId: In([...runIds]), role: 'patient' });
  const subjects = await view.all(SubjectRow, { id: In(rows.map(({ subjectId }) => subjectId)) });
  const owners = subjects.flatMap(({ id, parentId }) => (parentId === null ? [id] : [id, parentId]));
  const sealed = await view.all(SealedRow, { ownerId: In(owners), kind: 'patient number' });
  const found = new Map<string, string[]>();
  for (const { runId, subjectId } of rows) {
    const parentId = subjects.find(({ id }) => id === subjectId)?.parentId;
    const numbers = sealed.flatMap(({ ownerId, value }) =>
      (ownerId === subjectId || ownerId === parentId) && value !== null ? [value] : [],
    );
    found.set(runId, [...(found.get(runId) ?? []), ...numbers]);
  }
  return found;
}

/** How many patients' slides or specimens each use of a protocol had, earliest first. */
async function usesCounted(
  view: View,
  { protocolId, from, to, upToSeq }: { protocolId: string; from: Instant; to: Instant; upToSeq: number },
): Promise<Pick<Use, 'runId' | 'at' | 'slides'>[]> {
  const rows = (await (
    await view.ready()
  ).query(
    `SELECT run.id AS "runId", run.started_at AS "at", COUNT(run_subject.id) AS "slides" FROM run
       JOIN revision ON revision.id = run.revision_id
       JOIN run_subject ON run_subject.run_id = run.id AND run_subject.role = 'patient'
      WHERE run.laboratory_id = $1 AND run.seq <= $2 AND revision.protocol_id = $3 AND run.purpose = 'patients'
        AND run.started_at >= $4 AND run.started_at <= $5
      GROUP BY run.id, run.started_at ORDER BY run.started_at, run.id`,
    [view.laboratoryId, upToSeq, protocolId, from, to],
  )) as { runId: string; at: Instant; slides: number | string }[];
  return rows.map(({ runId, at, slides }) => ({ runId, at, slides: Number(slides) }));
}
