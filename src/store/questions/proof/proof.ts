import type { Instant } from '../../../core/time/instant.js';
import type { View } from '../../view.js';
import { ALL, type Asking, runsOf } from '../ask/topic.js';
import { rowsOf, type Sql, sql } from '../sql.js';

/** One record that proves a requirement, or is a gap in its proof. */
export interface ProofRow {
  id: string;
  at: Instant;
  /** What it is, and its id, to open it by. */
  kind: string;
  ref: string;
  what: string;
  gap: boolean;
}

/** What a proof is asked with. */
export interface Proving {
  asking: Asking;
  now: Instant;
}

/**
 * How the record proves a requirement. As SQL: a query over `worked`, the runs for patients of the period, with the columns
 * id, at, kind, ref, what and gap, which is 1 or 0. As rows: where rules of core decide.
 */
export type Proof =
  { sql: (view: View, proving: Proving) => Sql } | { rows: (view: View, proving: Proving) => Promise<ProofRow[]> };

export interface ProofCounts {
  records: number;
  gaps: number;
}

/** How many records a proof has, and how many of them are gaps. */
export async function proofCounts(view: View, proof: Proof, proving: Proving): Promise<ProofCounts> {
  if ('rows' in proof) {
    const rows = await proof.rows(view, proving);
    return { records: rows.length, gaps: rows.filter(({ gap }) => gap).length };
  }
  const [row] = await rowsOf<{ records: number | string; gaps: number | string | null }>(
    view,
    sql`${proofOf(view, proof, proving)} SELECT COUNT(*) AS "records", SUM(gap) AS "gaps" FROM proof`,
  );
  return { records: Number(row?.records ?? 0), gaps: Number(row?.gaps ?? 0) };
}

/** Which part of a proof's records is wanted, in the order of time. */
export interface ProofPage {
  gapsOnly: boolean;
  take: number;
  /** The last of the page before. */
  after: { at: Instant; id: string } | null;
}

export async function proofRows(view: View, proof: Proof, proving: Proving, page: ProofPage): Promise<ProofRow[]> {
  const { gapsOnly, take, after } = page;
  if ('rows' in proof) {
    return (await proof.rows(view, proving))
      .filter(({ gap }) => gap || !gapsOnly)
      .sort((a, b) => (placeOf(a) < placeOf(b) ? -1 : 1))
      .filter((row) => after === null || placeOf(row) > placeOf(after))
      .slice(0, take);
  }
  const later = after === null ? ALL : sql`(at > ${after.at} OR (at = ${after.at} AND id > ${after.id}))`;
  const rows = await rowsOf<Omit<ProofRow, 'gap'> & { gap: number | string }>(
    view,
    sql`${proofOf(view, proof, proving)} SELECT id AS "id", at AS "at", kind AS "kind", ref AS "ref", what AS "what", gap AS "gap"
      FROM proof WHERE ${later} AND ${gapsOnly ? sql`gap = 1` : ALL} ORDER BY at, id LIMIT ${take}`,
  );
  return rows.map((row) => ({ ...row, gap: Number(row.gap) === 1 }));
}

function placeOf({ at, id }: { at: Instant; id: string }): string {
  return `${at} ${id}`;
}

function proofOf(view: View, proof: Extract<Proof, { sql: unknown }>, proving: Proving): Sql {
  return sql`WITH worked AS (${runsOf(view, proving.asking, sql`run.purpose = 'patients'`)}),
    proof AS (${proof.sql(view, proving)})`;
}

/** A gap where a condition does not hold. */
export function gapUnless(condition: Sql): Sql {
  return sql`CASE WHEN ${condition} THEN 0 ELSE 1 END AS gap`;
}

/** That an act at `at` falls into the period. */
export function inPeriod(column: Sql, { asking: { from, to } }: Proving): Sql {
  return sql`${column} >= ${from} AND ${column} < ${to}`;
}

/** What the stored text of a signature is like that holds a SHA-256 of what was signed. */
export const boundSignature = `%"recordHash":"${'_'.repeat(64)}"%`;
