import { deviationStanding, dueItems, isOverdue } from '../../../core/deviations/deviation.js';
import { DeviationActRow, type DeviationRow } from '../../rows/deviations.entity.js';
import type { View } from '../../view.js';
import { joined, list, rowsOf, type Sql, sql } from '../sql.js';
import { inProtocols } from '../review/within.js';
import { boundSignature, gapUnless, inPeriod, type Proof, type ProofRow, type Proving } from './proof.js';

/** That a signature holds a text which is not empty. */
const filled = (key: string): Sql =>
  sql`release.signature LIKE ${`%"${key}":"%`} AND release.signature NOT LIKE ${`%"${key}":""%`}`;

/** Proofs of what holds for results that left, and for the record itself. */
export const RESULT_PROOFS = {
  'releases-signed': {
    sql: () => sql`SELECT release.id, worked.started_at AS at, 'run' AS kind, worked.id AS ref, worked.title AS what,
        ${gapUnless(sql`${filled('name')} AND release.signature LIKE '%"at":"____-__-__T%'
          AND ${filled('meaning')}`)}
      FROM worked JOIN release ON release.run_id = worked.id`,
  },
  'signatures-bound': {
    sql: () => sql`SELECT release.id, worked.started_at AS at, 'run' AS kind, worked.id AS ref, worked.title AS what,
        ${gapUnless(sql`release.signature LIKE ${boundSignature}`)}
      FROM worked JOIN release ON release.run_id = worked.id`,
  },
  'corrections-kept': {
    sql: () => sql`SELECT release.id, worked.started_at AS at, 'run' AS kind, worked.id AS ref, worked.title AS what,
        ${gapUnless(sql`EXISTS (SELECT 1 FROM release first WHERE first.id = release.amends)`)}
      FROM worked JOIN release ON release.run_id = worked.id AND release.amends IS NOT NULL
      UNION ALL
      SELECT gone.id, gone.at, 'run' AS kind, worked.id AS ref, worked.title AS what, ${gapUnless(sql`gone.told <> ''`)}
      FROM worked JOIN release ON release.run_id = worked.id JOIN release_withdrawal gone ON gone.release_id = release.id`,
  },
  'lookbacks-closed': {
    sql: (
      view,
      proving,
    ) => sql`SELECT lookback.id, lookback.at, 'lookback' AS kind, lookback.id AS ref, lookback.cause AS what,
        ${gapUnless(sql`EXISTS (SELECT 1 FROM lookback_close WHERE lookback_close.lookback_id = lookback.id)`)}
      FROM lookback WHERE lookback.laboratory_id = ${view.laboratoryId} AND ${inPeriod(sql`lookback.at`, proving)}`,
  },
  'recorded-at-once': {
    sql: () => sql`SELECT event.id, event.received_at AS at, 'run' AS kind, worked.id AS ref,
        worked.title || ': ' || event.kind AS what, ${gapUnless(sql`event.stamp NOT LIKE '%"late":true%'`)}
      FROM worked JOIN run_event event ON event.run_id = worked.id`,
  },
  'amendments-told': {
    sql: () => sql`SELECT event.id, event.received_at AS at, 'run' AS kind, worked.id AS ref, worked.title AS what,
        ${gapUnless(sql`event.data LIKE '%"reason":"%' AND event.data NOT LIKE '%"reason":""%' AND EXISTS (SELECT 1 FROM run_event first
          WHERE first.run_id = worked.id AND first.seq < event.seq
          AND event.data LIKE '%"event":"' || first.id || '"%')`)}
      FROM worked JOIN run_event event ON event.run_id = worked.id AND event.kind = 'corrected'`,
  },
  'trail-whole': {
    sql: (
      view,
      proving,
    ) => sql`SELECT CAST(entry.seq AS text) AS id, entry.at, 'entry' AS kind, entry.subject_id AS ref,
        entry.act AS what, ${gapUnless(sql`entry.seq = 1 OR EXISTS (SELECT 1 FROM record_entry before
          WHERE before.laboratory_id = entry.laboratory_id AND before.seq = entry.seq - 1)`)}
      FROM record_entry entry WHERE entry.laboratory_id = ${view.laboratoryId} AND ${inPeriod(sql`entry.at`, proving)}`,
  },
  'deviations-followed': { rows: deviationsOpened },
  'records-kept': {
    sql: (
      view,
      proving,
    ) => sql`SELECT entry.subject_kind || ' ' || entry.subject_id AS id, MIN(entry.at) AS at, entry.subject_kind AS kind,
        entry.subject_id AS ref, MIN(entry.act) AS what, ${gapUnless(joined(KEPT.map(there), ' OR ', '1 = 0'))}
      FROM record_entry entry WHERE entry.laboratory_id = ${view.laboratoryId} AND ${inPeriod(sql`entry.at`, proving)}
        AND entry.subject_kind IN ${list(KEPT)} GROUP BY entry.subject_kind, entry.subject_id`,
  },
} satisfies Record<string, Proof>;

/** Kinds of subjects of the record of which each is a row of the table of that name. */
const KEPT = ['run', 'subject', 'revision', 'lot', 'instrument', 'study', 'recall', 'lookback', 'deviation'] as const;

function there(kind: (typeof KEPT)[number]): Sql {
  const table: Sql = { chunks: [`"${kind}"`], values: [] };
  return sql`(entry.subject_kind = ${kind} AND EXISTS (SELECT 1 FROM ${table} kept WHERE kept.id = entry.subject_id))`;
}

/** Deviations of the period, each a gap while it is open and rests or is overdue. */
async function deviationsOpened(view: View, { asking, now }: Proving): Promise<ProofRow[]> {
  const opened = await rowsOf<Pick<DeviationRow, 'id' | 'at' | 'title' | 'effect' | 'number'>>(
    view,
    sql`SELECT deviation.id AS "id", deviation.at AS "at", deviation.title AS "title", deviation.effect AS "effect",
        deviation.number AS "number" FROM deviation WHERE deviation.laboratory_id = ${view.laboratoryId}
        AND deviation.at >= ${asking.from} AND deviation.at < ${asking.to}
        AND ${inProtocols(asking, sql`deviation.protocol_id`)}`,
  );
  const acts = opened.length === 0 ? [] : await view.all(DeviationActRow, {}, { order: { seq: 'ASC', id: 'ASC' } });
  const actsOf = new Map<string, DeviationActRow[]>();
  for (const act of acts) actsOf.set(act.deviationId, [...(actsOf.get(act.deviationId) ?? []), act]);
  return opened.map(({ id, at, title, effect, number }) => {
    const standing = deviationStanding({ effect }, actsOf.get(id) ?? []);
    const due = dueItems(standing);
    const ended = standing.state === 'closed' || standing.state === 'effective';
    const gap = !ended && (due.length === 0 || due.some((item) => isOverdue(item, now)));
    return { id, at, kind: 'deviation', ref: id, what: `${number} ${title}: ${standing.state}`, gap };
  });
}
