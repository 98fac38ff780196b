import type { Instant } from '../../../core/time/instant.js';
import type { View } from '../../view.js';

/** The month that is asked about. */
export interface MonthSpan {
  from: Instant;
  /** First instant after it. */
  to: Instant;
  /** The same, or now while the month goes on. */
  until: Instant;
  now: Instant;
  zone: string;
}

/** Rows of a query whose first parameters are the laboratory, the month's beginning and its end. */
export async function within<Row>(view: View, { from, to }: MonthSpan, sql: string): Promise<Row[]> {
  return (await (await view.ready()).query(sql, [view.laboratoryId, from, to])) as Row[];
}

/** Titles of protocols by their ids, each as its newest revision has it. */
export async function protocolTitles(view: View): Promise<Map<string, string>> {
  const rows = (await (
    await view.ready()
  ).query(`SELECT protocol_id AS "protocolId", title FROM revision WHERE laboratory_id = $1 ORDER BY number`, [
    view.laboratoryId,
  ])) as { protocolId: string; title: string }[];
  return new Map(rows.map(({ protocolId, title }) => [protocolId, title]));
}
