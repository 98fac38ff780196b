import type { HoldKind } from '../../core/lot/lot.js';
import type { Instant } from '../../core/time/instant.js';
import type { CountRow } from '../rows/ledger.entity.js';
import type { View } from '../view.js';

const COUNT_HOLD: HoldKind = 'count';

/** A container that should be counted: something happened since its last count that the ledger cannot explain. */
export interface OpenCount {
  containerId: string;
  label: string;
  reagent: string;
  lotNumber: string;
  /** The record number of what asks for it; the latest. */
  seq: number;
  since: Instant;
  /** The run that took more than was there on paper; null when a hold asks for the count. */
  runId: string | null;
  /** In millionths of the reagent's declared unit; null when a hold asks for the count. */
  shortMicro: number | null;
}

/**
 * Open counts, the oldest first: of containers still here, for a use that the ledger did not cover or a hold that asks
 * for a count, later than the last count.
 */
export async function openCounts(view: View): Promise<OpenCount[]> {
  const rows = (await (await view.ready()).query(OPEN, [view.laboratoryId, COUNT_HOLD])) as OpenCount[];
  const latest = new Map<string, OpenCount>();
  for (const row of rows) {
    const earlier = latest.get(row.containerId);
    const shortMicro =
      row.shortMicro === null && !earlier ? null : Number(row.shortMicro ?? 0) + (earlier?.shortMicro ?? 0);
    latest.set(row.containerId, {
      ...row,
      seq: Number(row.seq),
      since: earlier?.since ?? row.since,
      runId: row.runId ?? earlier?.runId ?? null,
      shortMicro: shortMicro === 0 ? null : shortMicro,
    });
  }
  return [...latest.values()];
}

const OPEN = `SELECT asked.container_id AS "containerId", container.label, lot.reagent_code AS reagent,
    lot.number AS "lotNumber", asked.seq, asked.at AS since, asked.run_id AS "runId", asked.short_micro AS "shortMicro"
  FROM (
    SELECT container_id, seq, at, run_id, short_micro FROM movement WHERE laboratory_id = $1 AND short_micro > 0
    UNION ALL
    SELECT container_id, seq, at, NULL, NULL FROM hold WHERE laboratory_id = $1 AND kind = $2
  ) AS asked
  JOIN container ON container.id = asked.container_id
  JOIN lot ON lot.id = container.lot_id
  WHERE asked.seq > COALESCE(
      (SELECT MAX(stock_count.seq) FROM stock_count WHERE stock_count.container_id = asked.container_id), 0)
    AND NOT EXISTS (SELECT 1 FROM container_act gone WHERE gone.container_id = asked.container_id
      AND gone.state IN ('emptied', 'discarded'))
  ORDER BY asked.seq, asked.container_id`;

/** A count with what it was of. */
export type KnownCount = Omit<CountRow, 'laboratoryId'> & { label: string; lotNumber: string; person: string | null };

/** Which counts to answer; an absent field does not choose. */
export interface CountChoice {
  id?: string | undefined;
  reagent?: string | undefined;
  /** Local days, both included. */
  from?: string | undefined;
  to?: string | undefined;
  /** Only those that found something else than the ledger said. */
  onlyVariances?: boolean | undefined;
}

/** Counts, the newest first. */
export async function countsOf(
  view: View,
  { id, reagent, from, to, onlyVariances }: CountChoice,
  { take, after }: { take: number; after?: string | undefined },
): Promise<KnownCount[]> {
  const where = ['each.laboratory_id = $1'];
  const values: unknown[] = [view.laboratoryId];
  const add = (column: string, sign: string, value: string): void => {
    where.push(`each.${column} ${sign} $${values.push(value)}`);
  };
  if (id !== undefined) add('id', '=', id);
  if (reagent !== undefined) add('reagent_code', '=', reagent);
  if (from !== undefined) add('day', '>=', from);
  if (to !== undefined) add('day', '<=', to);
  if (after !== undefined) add('id', '<', after);
  if (onlyVariances) where.push('each.variance <> 0');
  return (await (
    await view.ready()
  ).query(
    `SELECT each.id, each.seq, each.container_id AS "containerId", each.reagent_code AS "reagentCode", each.at, each.day,
        each.person_id AS "personId", each.expected, each.counted, each.variance, each.reason, container.label,
        lot.number AS "lotNumber", person.name AS person
      FROM stock_count each JOIN container ON container.id = each.container_id JOIN lot ON lot.id = container.lot_id
      LEFT JOIN person ON person.id = each.person_id
      WHERE ${where.join(' AND ')} ORDER BY each.id DESC LIMIT ${take}`,
    values,
  )) as KnownCount[];
}
