import { type Sql, sql } from '../review/sql.js';
import { gapUnless, inPeriod, type Proof } from './proof.js';

/** That a signature holds a text which is not empty. */
const filled = (key: string): Sql =>
  sql`release.signature LIKE ${`%"${key}":"%`} AND release.signature NOT LIKE ${`%"${key}":""%`}`;

const SHA_256 = '_'.repeat(64);

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
        ${gapUnless(sql`release.signature LIKE ${`%"recordHash":"${SHA_256}"%`}`)}
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
} satisfies Record<string, Proof>;
