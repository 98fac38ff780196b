import { sql } from '../sql.js';
import { boundSignature, gapUnless, inPeriod, type Proof } from './proof.js';

/** Proofs of what procedures must be. */
export const PROCEDURE_PROOFS = {
  'procedure-approved': {
    sql: () => sql`SELECT worked.id, worked.started_at AS at, 'run' AS kind, worked.id AS ref, worked.title AS what,
        ${gapUnless(sql`EXISTS (SELECT 1 FROM revision_act act WHERE act.revision_id = worked.revision_id
          AND act.kind = 'approved' AND act.at <= worked.started_at AND act.data LIKE '%"signature":{%')`)} FROM worked`,
  },
  'method-verified': {
    sql: () => sql`SELECT worked.revision_id AS id, MIN(worked.started_at) AS at, 'revision' AS kind,
        worked.revision_id AS ref, MAX(worked.title) AS what,
        ${gapUnless(sql`EXISTS (SELECT 1 FROM revision_act act WHERE act.revision_id = worked.revision_id
          AND act.kind = 'approved' AND act.data LIKE '%"verification":{%')`)}
      FROM worked GROUP BY worked.revision_id`,
  },
  'performer-recorded': {
    sql: () => sql`SELECT worked.id, worked.started_at AS at, 'run' AS kind, worked.id AS ref, worked.title AS what,
        ${gapUnless(sql`EXISTS (SELECT 1 FROM run_event done WHERE done.run_id = worked.id AND done.kind IN ('step-started', 'step-ended'))`)}
      FROM worked`,
  },
  'identity-kept': {
    sql: () => sql`SELECT run_subject.id, worked.started_at AS at, 'run' AS kind, worked.id AS ref,
        subject.description AS what, ${gapUnless(sql`EXISTS (SELECT 1 FROM run_event word WHERE word.run_id = worked.id
          AND word.kind IN ('identity-confirmed', 'attested')
          AND word.data LIKE '%"subject":"' || run_subject.subject_id || '"%')`)}
      FROM worked JOIN run_subject ON run_subject.run_id = worked.id AND run_subject.role = 'patient'
      JOIN subject ON subject.id = run_subject.subject_id`,
  },
  'policies-signed': {
    sql: (
      view,
      proving,
    ) => sql`SELECT policy.id, policy.at, 'policy' AS kind, policy.id AS ref, CAST(policy.number AS text) AS what,
        ${gapUnless(sql`policy.signature LIKE ${boundSignature} AND policy.reason <> ''
          AND policy.effective_from >= policy.at`)}
      FROM gate_policy policy WHERE policy.laboratory_id = ${view.laboratoryId} AND ${inPeriod(sql`policy.at`, proving)}`,
  },
} satisfies Record<string, Proof>;
