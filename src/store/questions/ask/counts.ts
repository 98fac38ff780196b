import { COUNT_NAMES, type CountName } from '../../../core/ask/topics.js';
import type { View } from '../../view.js';
import { rowsOf, type Sql, sql } from '../sql.js';
import { ALL, type Asking, runsOf } from './topic.js';

/** How a count begins: rows of a table that belong to the runs asked about. */
const of = (table: Sql, where = ALL): Sql =>
  sql`(SELECT COUNT(*) FROM ${table} fact JOIN worked ON worked.id = fact.run_id WHERE ${where})`;

const COUNTS: Readonly<Record<CountName, Sql>> = {
  'all runs of the period': sql`(SELECT COUNT(*) FROM within)`,
  runs: sql`(SELECT COUNT(*) FROM worked)`,
  'runs for patients': sql`(SELECT COUNT(*) FROM worked WHERE purpose = 'patients')`,
  'runs broken off': of(sql`run_event`, sql`fact.kind = 'abandoned'`),
  'specimens and slides': sql`(SELECT COUNT(DISTINCT fact.subject_id) FROM run_subject fact
    JOIN worked ON worked.id = fact.run_id WHERE fact.role = 'patient')`,
  'bench entries': of(sql`run_event`),
  'late entries': of(sql`run_event`, sql`fact.stamp LIKE '%"late":true%'`),
  corrections: of(sql`run_event`, sql`fact.kind = 'corrected'`),
  'control readings': of(sql`control_result`),
  'control readings that failed': of(sql`control_result`, sql`fact.passed = FALSE`),
  releases: of(sql`release`),
  'releases by exception': of(sql`release`, sql`fact.exception IS NOT NULL`),
  'releases with a stop or caution': of(
    sql`release`,
    sql`(fact.findings LIKE '%"weight":"stop"%' OR fact.findings LIKE '%"weight":"caution"%')`,
  ),
  'releases amended': of(
    sql`release`,
    sql`EXISTS (SELECT 1 FROM release later WHERE later.run_id = fact.run_id AND later.amends = fact.id)`,
  ),
  'releases withdrawn': of(
    sql`release`,
    sql`EXISTS (SELECT 1 FROM release_withdrawal gone WHERE gone.release_id = fact.id)`,
  ),
};

/** Every count of a question, in one statement. */
export async function countsOf(view: View, asking: Asking, which: Sql): Promise<Record<CountName, number>> {
  const columns = COUNT_NAMES.map((name, n) => sql`${COUNTS[name]} AS ${{ chunks: [`c${n}`], values: [] }}`);
  const [row = {}] = await rowsOf<Record<string, number | string>>(
    view,
    sql`WITH within AS (${runsOf(view, asking, ALL)}), worked AS (${runsOf(view, asking, which)})
      SELECT ${columns.reduce((all, column) => sql`${all}, ${column}`)}`,
  );
  return Object.fromEntries(COUNT_NAMES.map((name, n) => [name, Number(row[`c${n}`] ?? 0)])) as Record<
    CountName,
    number
  >;
}
