import type { FailureActKind } from '../../../core/controls/failure.js';
import { plusMs } from '../../../core/time/instant.js';
import { localDay } from '../../../core/time/zone.js';
import { controlSchedule, type ProtocolSchedule } from '../control-schedule.js';
import { needLaboratory } from '../laboratories.js';
import { joined, type Sql, sql } from '../sql.js';
import { inProtocols } from '../review/within.js';
import { gapUnless, inPeriod, type Proof, type ProofRow, type Proving } from './proof.js';
import type { View } from '../../view.js';

/** A reading that was neither withdrawn nor corrected away. */
const STANDS = sql`NOT EXISTS (SELECT 1 FROM control_result_change change WHERE change.result_id = result.id
  AND change.withdrawn = TRUE)`;

/** Proofs of control procedures. */
export const CONTROL_PROOFS = {
  'control-each-lot': { rows: tasksOf(['42 CFR 493.1256(e)(1)']) },
  'control-each-day': { rows: tasksOf(['42 CFR 493.1256(e)(2)']) },
  'control-each-use': { rows: tasksOf(['42 CFR 493.1256(e)(3)', '42 CFR 493.1256(e)(3) and 493.1273(a)']) },
  'control-each-group': { rows: tasksOf(['42 CFR 493.1273(a)']) },
  'control-after-change': { rows: tasksOf(['42 CFR 493.1256(d)(6)']) },
  'control-before-result': {
    sql: () => sql`SELECT release.id, worked.started_at AS at, 'run' AS kind, worked.id AS ref, worked.title AS what,
        ${gapUnless(sql`NOT EXISTS (SELECT 1 FROM control_result result WHERE result.run_id = worked.id
          AND result.seq < release.seq AND result.passed = FALSE AND ${STANDS} AND NOT EXISTS (SELECT 1
          FROM control_result again WHERE again.run_id = worked.id AND again.requirement = result.requirement
          AND again.passed = TRUE AND again.seq > result.seq AND again.seq < release.seq))`)}
      FROM worked JOIN release ON release.run_id = worked.id`,
  },
  'control-recorded': {
    sql: (
      view,
      proving,
    ) => sql`SELECT result.id, result.at, CASE WHEN result.run_id IS NULL THEN 'control-result' ELSE 'run' END AS kind,
        COALESCE(result.run_id, result.id) AS ref,
        result.protocol_id || ' ' || result.requirement AS what,
        ${gapUnless(sql`result.person_id IS NOT NULL AND result.observed <> ''`)}
      FROM control_result result WHERE result.laboratory_id = ${view.laboratoryId}
        AND ${inPeriod(sql`result.stained_at`, proving)} AND ${inProtocols(proving.asking, sql`result.protocol_id`)}`,
  },
  'control-all-operators': {
    sql: (_view, proving) => sql`SELECT person.id, MIN(worked.started_at) AS at, 'person' AS kind, person.id AS ref,
        MAX(person.name) AS what, ${gapUnless(sql`EXISTS (SELECT 1 FROM control_result result
          WHERE result.laboratory_id = person.laboratory_id AND result.person_id = person.id
          AND ${inPeriod(sql`result.at`, proving)})`)}
      FROM worked JOIN person ON person.id = worked.person_id GROUP BY person.id, person.laboratory_id`,
  },
  'control-failures-closed': { sql: failuresWith('closed') },
  'control-failures-acted': { sql: failuresWith('cause', 'action') },
} satisfies Record<string, Proof>;

/** Control readings that failed, each a gap unless acts of all these kinds are recorded. */
function failuresWith(...kinds: FailureActKind[]): (view: View, proving: Proving) => Sql {
  const acted = kinds.map(
    (kind) =>
      sql`EXISTS (SELECT 1 FROM failure_act WHERE failure_act.result_id = result.id AND failure_act.kind = ${kind})`,
  );
  return (view, proving) => sql`SELECT result.id, result.at, 'control-result' AS kind, result.id AS ref,
      result.protocol_id || ' ' || result.requirement AS what, ${gapUnless(joined(acted, ' AND ', '1 = 1'))}
    FROM control_result result WHERE result.laboratory_id = ${view.laboratoryId} AND result.passed = FALSE AND ${STANDS}
      AND ${inPeriod(sql`result.stained_at`, proving)} AND ${inProtocols(proving.asking, sql`result.protocol_id`)}`;
}

/** Control tasks that came up in the period by one of these clauses and were needed, as the schedule itself judges them. */
function tasksOf(clauses: readonly string[]): (view: View, proving: Proving) => Promise<ProofRow[]> {
  return async (view, proving) => {
    const { protocols } = proving.asking;
    return (await scheduleOf(view, proving))
      .filter(({ protocolId }) => protocols === null || protocols.includes(protocolId))
      .flatMap(({ protocolId, title, tasks }) =>
        tasks
          .filter(({ clause, state }) => clauses.includes(clause) && ['answered', 'overdue', 'missed'].includes(state))
          .map(({ key, dueFrom, requirement, period, state, uncovered }) => ({
            id: key,
            at: dueFrom,
            kind: uncovered[0] === undefined ? 'protocol' : 'run',
            ref: uncovered[0] ?? protocolId,
            what: `${title}: ${requirement}, ${period}`,
            gap: state !== 'answered',
          })),
      );
  };
}

/** Several requirements of one question ask for the same schedule. */
const schedules = new WeakMap<Proving, Promise<ProtocolSchedule[]>>();

function scheduleOf(view: View, proving: Proving): Promise<ProtocolSchedule[]> {
  const known = schedules.get(proving) ?? loadSchedule(view, proving);
  schedules.set(proving, known);
  return known;
}

async function loadSchedule(view: View, { asking: { from, to }, now }: Proving): Promise<ProtocolSchedule[]> {
  const { zone } = await needLaboratory(view);
  return controlSchedule(view, { from: localDay(from, zone), to: localDay(plusMs(to, -1), zone) }, now);
}
