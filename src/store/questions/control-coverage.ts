import { In } from 'typeorm';
import { weekOf } from '../../core/controls/calendar.js';
import type { CoveringResult, Use } from '../../core/controls/coverage.js';
import { type ApprovedPlan, planFor, planInForce } from '../../core/controls/plan.js';
import type { ControlPlan, PlannedControl, PlanTime } from '../../core/controls/planned.js';
import type { ControlResult } from '../../core/controls/result.js';
import type { ControlFacts } from '../../core/gate/facts.js';
import { epochMs, type Instant, plusMs } from '../../core/time/instant.js';
import { endOfDay, instantOfLocal, localDay } from '../../core/time/zone.js';
import { SealedRow } from '../rows/record.entity.js';
import type { RevisionRow } from '../rows/protocols.entity.js';
import { RunRow, RunSubjectRow } from '../rows/runs.entity.js';
import { SubjectRow } from '../rows/specimens.entity.js';
import type { View } from '../view.js';
import { approvedPlans, knownPlans } from './control-plans.js';
import { controlResults } from './control-results.js';
import type { LoadedRun } from './loaded-run.js';
import { grouped } from './grouped.js';

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

/** A run whose controls are asked about, with the lots that stood on its tray. */
export interface ControlledRun {
  loaded: LoadedRun;
  lotIds: readonly string[];
}

/**
 * What the gate looks at of controls, from facts up to a record number, for each of these runs in their order. Runs of one
 * revision share the reading of results; each gets those that its own clocks may look at.
 */
export async function controlFacts(
  view: View,
  runs: readonly ControlledRun[],
  { zone, upToSeq }: { zone: string; upToSeq: number },
): Promise<ControlFacts[]> {
  const plans = new Map<string, ApprovedPlan[]>();
  for (const { protocolId } of new Map(
    runs.map(({ loaded: { revision } }) => [revision.protocolId, revision]),
  ).values()) {
    plans.set(protocolId, approvedPlans(await knownPlans(view, protocolId, upToSeq)));
  }
  const received = await receivedAt(view, [...new Set(runs.flatMap(({ lotIds }) => lotIds))]);
  const daysOf = dayTeller(zone);
  const asking = runs.map((run) => askingOf(run, plans.get(run.loaded.revision.protocolId) ?? [], received, daysOf));
  const results = new Map<string, CoveringResult[]>();
  for (const [key, own] of grouped(
    asking.flatMap((each) => (each.asked.length === 0 ? [] : [each])),
    keyOf,
    (each) => each,
  )) {
    results.set(key, await resultsOf(view, own, { zone, upToSeq }));
  }
  const facts: ControlFacts[] = [];
  const shared = new Map<string, CoveringResult[]>();
  for (const each of asking) {
    const { run, plan, days, asked, from, to } = each;
    const ids = new Set(asked.map(({ id }) => id));
    const found = (results.get(keyOf(each)) ?? []).filter(
      ({ runId, requirement, at }) => runId !== run.id && ids.has(requirement) && at >= from && at < to,
    );
    const name = found.map(({ id }) => id).join(' ');
    const own = shared.get(name) ?? found;
    shared.set(name, own);
    const counted = asked.some(({ clocks }) => clocks.some(({ when }) => when === 'every n slides'));
    const { protocolId, id: revisionId } = each.revision;
    facts.push({
      plan,
      revisionId,
      station: run.station,
      ...days,
      patients:
        asked.length > 0 && plan.use.counts === 'patient' ? ((await patientsOf(view, [run.id])).get(run.id) ?? []) : [],
      results: own,
      uses: counted
        ? await usesCounted(view, { protocolId, from: own[0]?.at ?? run.startedAt, to: run.startedAt, upToSeq })
        : [],
    });
  }
  return facts;
}

/** A run with the controls that it does not carry itself, and between which instants their results may answer for it. */
interface Asking {
  run: RunRow;
  revision: RevisionRow;
  plan: ControlPlan;
  days: Days;
  asked: PlannedControl[];
  from: Instant;
  to: Instant;
}

function askingOf(
  { loaded: { run, revision, subjects }, lotIds }: ControlledRun,
  approved: readonly ApprovedPlan[],
  received: ReadonlyMap<string, Instant>,
  daysOf: (at: Instant) => Days,
): Asking {
  const plan = planFor(revision.content, planInForce(approved, run.startedAt)?.content ?? null);
  const own = new Set(subjects.map(({ control }) => control));
  // Controls that stand in the run answer for themselves.
  const asked = plan.controls.filter(({ id, required }) => required && !own.has(id));
  const reach = asked.flatMap(({ clocks }) =>
    clocks.map(({ when, n }) => REACH_DAYS[when] ?? (when === 'every n days' ? (n ?? 0) + 1 : 0)),
  );
  // No control was stained with any of its lots before the first of them came here.
  const first = lotIds.flatMap((id) => received.get(id) ?? []).sort()[0];
  const from = plusMs(run.startedAt, -Math.max(0, ...reach) * DAY_MS);
  return {
    run,
    revision,
    plan,
    days: daysOf(run.startedAt),
    asked,
    from: first !== undefined && first < from ? first : from,
    to: plusMs(run.startedAt, LATEST_DAYS * DAY_MS),
  };
}

/** Runs of one revision whose plan counts a use in one way share their results. */
function keyOf({ revision, plan }: Asking): string {
  return `${revision.id} ${plan.use.counts}`;
}

async function resultsOf(
  view: View,
  asking: readonly Asking[],
  { zone, upToSeq }: { zone: string; upToSeq: number },
): Promise<CoveringResult[]> {
  const [first] = asking;
  if (!first) return [];
  const found = await controlResults(view, {
    protocolId: first.revision.protocolId,
    revisionId: first.revision.id,
    from: asking.reduce((least, { from }) => (from < least ? from : least), first.from),
    to: asking.reduce((most, { to }) => (to > most ? to : most), first.to),
    upToSeq,
  });
  return asCovering(view, found, first.plan.use, zone);
}

/** When lots came here. */
async function receivedAt(view: View, lotIds: readonly string[]): Promise<Map<string, Instant>> {
  if (lotIds.length === 0) return new Map();
  const places = lotIds.map((_, n) => `$${n + 2}`).join(', ');
  const rows = (await (
    await view.ready()
  ).query(`SELECT id, received_at AS "at" FROM lot WHERE laboratory_id = $1 AND id IN (${places})`, [
    view.laboratoryId,
    ...lotIds,
  ])) as { id: string; at: Instant }[];
  return new Map(rows.map(({ id, at }) => [id, at]));
}

type Days = Pick<ControlFacts, 'day' | 'week' | 'month'>;

/** Tells local days; several instants of one day, asked one after another, ask the zone only for the first ones. */
function dayTeller(zone: string): (at: Instant) => Days {
  let known: { at: Instant; days: Days; ends: { from: Instant; until: Instant } | null } | null = null;
  return (at) => {
    if (known && Math.abs(epochMs(at) - epochMs(known.at)) < DAY_MS) {
      const { day } = known.days;
      known.ends ??= { from: instantOfLocal(`${day}T00:00`, zone), until: endOfDay(day, zone) };
      if (at >= known.ends.from && at < known.ends.until) return known.days;
    }
    const day = localDay(at, zone);
    const days = { day, week: weekOf(day), month: day.slice(0, 7) };
    known = { at, days, ends: null };
    return days;
  };
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
  const daysOf = dayTeller(zone);
  return results
    .map(({ id, requirement, runId, revisionId, stainedAt, at, passed, lots }): CoveringResult => {
      return {
        id,
        requirement,
        runId,
        revisionId,
        station: stations.get(runId ?? '') ?? null,
        at: stainedAt,
        ...daysOf(stainedAt),
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
