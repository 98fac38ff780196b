import type { ReviewScope } from '../../../core/people/review.js';
import type { View } from '../../view.js';
import { list, rowsOf, type Sql, sql } from '../sql.js';

/** Kinds of single records that a reviewer can open by their id. */
export type Reviewed = 'run' | 'lot' | 'order' | 'file' | 'control-result' | 'deviation' | 'pack' | 'second-look';

/** Whether a protocol's column names one within a scope. */
export function inProtocols({ protocols }: Pick<ReviewScope, 'protocols'>, column: Sql): Sql {
  return protocols === null ? sql`1 = 1` : sql`${column} IN ${list(protocols)}`;
}

/**
 * Whether a record lies within a scope: a run by its start and protocol; a lot by a run of the scope on whose tray it
 * stood or, in a scope of all protocols, by its receipt; a second look by what it asks of; the others by the act that wrote them, and a control's
 * result by its protocol. A pack was kept to the scope when it was asked for, and is shown to who asked alone.
 */
export async function withinScope(view: View, scope: ReviewScope, kind: Reviewed, id: string): Promise<boolean> {
  return (await rowsOf(view, QUESTIONS[kind](view.laboratoryId, scope, id))).length > 0;
}

/** The runs of a scope, as what stands behind FROM. */
export const runsWithin = (
  laboratory: string,
  scope: ReviewScope,
): Sql => sql`run JOIN revision ON revision.id = run.revision_id
  WHERE run.laboratory_id = ${laboratory} AND run.started_at >= ${scope.from} AND run.started_at < ${scope.to}
    AND ${inProtocols(scope, sql`revision.protocol_id`)}`;

/** Whether `look`, a second look, asks of a release of the scope's runs. */
export const asksWithin = (laboratory: string, scope: ReviewScope): Sql => sql`EXISTS (SELECT 1
  FROM release_question question JOIN release ON release.id = question.release_id WHERE question.look_id = look.id
    AND release.run_id IN (SELECT run.id FROM ${runsWithin(laboratory, scope)}))`;

const written = (
  table: Sql,
  laboratory: string,
  { from, to }: ReviewScope,
  id: string,
): Sql => sql`SELECT 1 FROM ${table} fact
  JOIN record_entry ON record_entry.laboratory_id = fact.laboratory_id AND record_entry.seq = fact.seq
  WHERE fact.laboratory_id = ${laboratory} AND fact.id = ${id} AND record_entry.at >= ${from} AND record_entry.at < ${to}`;

const QUESTIONS: Record<Reviewed, (laboratory: string, scope: ReviewScope, id: string) => Sql> = {
  run: (laboratory, scope, id) => sql`SELECT 1 FROM ${runsWithin(laboratory, scope)} AND run.id = ${id}`,
  lot: (laboratory, scope, id) => sql`SELECT 1 FROM lot WHERE lot.laboratory_id = ${laboratory} AND lot.id = ${id} AND (
    ${scope.protocols === null ? sql`(lot.received_at >= ${scope.from} AND lot.received_at < ${scope.to})` : sql`1 = 0`}
    OR EXISTS (SELECT 1 FROM container JOIN tray_use ON tray_use.container_id = container.id
      WHERE container.lot_id = lot.id AND tray_use.run_id IN (SELECT run.id FROM ${runsWithin(laboratory, scope)})))`,
  order: (laboratory, scope, id) => written(sql`purchase_order`, laboratory, scope, id),
  file: (laboratory, scope, id) => written(sql`file`, laboratory, scope, id),
  deviation: (laboratory, scope, id) => written(sql`deviation`, laboratory, scope, id),
  'second-look': (laboratory, scope, id) => sql`SELECT 1 FROM second_look look WHERE look.laboratory_id = ${laboratory}
    AND look.id = ${id} AND ${asksWithin(laboratory, scope)}`,
  pack: (laboratory, _scope, id) => sql`SELECT 1 FROM pack WHERE laboratory_id = ${laboratory} AND id = ${id}`,
  'control-result': (laboratory, scope, id) => sql`SELECT 1 FROM control_result WHERE laboratory_id = ${laboratory}
    AND id = ${id} AND stained_at >= ${scope.from} AND stained_at < ${scope.to}
    AND ${inProtocols(scope, sql`protocol_id`)}`,
};
