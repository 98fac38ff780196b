import { Refusal } from '../../core/refusal.js';
import type { Instant } from '../../core/time/instant.js';
import type { View } from '../view.js';
import { ALL_KNOWN } from './containers.js';

/** What a movement has to know of its container, none of which ever changes. */
export interface LabelledContainer {
  label: string;
  lotId: string;
  reagentCode: string;
  vessel: 'bath' | null;
  receivedAt: Instant;
}

/** A container with what it holds; refuses when there is none. */
export async function labelledContainer(view: View, id: string): Promise<LabelledContainer> {
  const found = await view.recall(`labelled ${id}`, async () => {
    const [row] = (await (
      await view.ready()
    ).query(
      `SELECT container.label, lot.id AS "lotId", lot.reagent_code AS "reagentCode", container.vessel,
        lot.received_at AS "receivedAt" FROM container
        JOIN lot ON lot.id = container.lot_id WHERE container.laboratory_id = $1 AND container.id = $2`,
      [view.laboratoryId, id],
    )) as LabelledContainer[];
    return row ?? null;
  });
  if (!found) throw new Refusal('not-found', 'not-found', `There is no container ${id}.`);
  return found;
}

/** What a container holds by the ledger, in millionths of its reagent's declared unit. */
export async function onHandOf(view: View, containerId: string): Promise<number> {
  return (await heldBefore(view, containerId, ALL_KNOWN)).onHand;
}

/** The sum of a container's movements, by way of its last balance. */
export interface Held {
  /** All movements. */
  onHand: number;
  /** Those of acts before the one that was named. */
  before: number;
  /** How many of these came after the last balance. */
  since: number;
}

/** What a container holds, and what it held before the act `seq`, in millionths. */
export async function heldBefore(view: View, containerId: string, seq: number): Promise<Held> {
  const [row] = (await (await view.ready()).query(HELD, [seq, view.laboratoryId, containerId])) as Record<
    keyof Held | 'base',
    number | string | null
  >[];
  const base = Number(row?.base ?? 0);
  return {
    onHand: base + Number(row?.onHand ?? 0),
    before: base + Number(row?.before ?? 0),
    since: Number(row?.since ?? 0),
  };
}

const HELD = `SELECT MAX(base.micro) AS base, SUM(movement.micro) AS "onHand",
    SUM(CASE WHEN movement.seq < $1 THEN movement.micro ELSE 0 END) AS "before",
    SUM(CASE WHEN movement.seq < $1 THEN 1 ELSE 0 END) AS since
  FROM (SELECT 1 AS one) AS whole
  LEFT JOIN (SELECT up_to, micro FROM balance WHERE laboratory_id = $2 AND container_id = $3
    ORDER BY up_to DESC LIMIT 1) AS base ON 1 = 1
  LEFT JOIN movement ON movement.laboratory_id = $2 AND movement.container_id = $3
    AND movement.seq > COALESCE(base.up_to, 0)`;

/** What was booked for a run already, by container, shortages included; in millionths. */
export async function usedByRun(view: View, runId: string): Promise<Map<string, number>> {
  const rows = (await (
    await view.ready()
  ).query(
    `SELECT container_id AS "containerId", SUM(COALESCE(short_micro, 0) - micro) AS taken FROM movement
      WHERE laboratory_id = $1 AND run_id = $2 AND kind = 'used' GROUP BY container_id`,
    [view.laboratoryId, runId],
  )) as { containerId: string; taken: number }[];
  return new Map(rows.map(({ containerId, taken }) => [containerId, Number(taken)]));
}

/** A balance that the movements under it do not add up to. */
export interface BalanceFault {
  /** Record number of the act that kept it. */
  seq: number;
  message: string;
  containerId: string;
  label: string;
  upTo: number;
  kept: number;
  summed: number;
}

/**
 * Every balance that is below nothing or differs from the plain sum of its container's movements up to its record number;
 * empty when the ledger is true.
 */
export async function proveBalances(view: View): Promise<BalanceFault[]> {
  const rows = (await (await view.ready()).query(FALSE_BALANCES, [view.laboratoryId])) as Omit<
    BalanceFault,
    'message'
  >[];
  return rows.map((row) => {
    const [seq, kept, summed] = [Number(row.seq), Number(row.kept), Number(row.summed)];
    const message = `the balance of ${row.label} up to record ${row.upTo} is ${kept} millionths, and its movements add up to ${summed}`;
    return { ...row, seq, kept, summed, message };
  });
}

const FALSE_BALANCES = `SELECT balance.seq, balance.container_id AS "containerId", container.label, balance.up_to AS "upTo",
    balance.micro AS kept, COALESCE(SUM(movement.micro), 0) AS summed
  FROM balance JOIN container ON container.id = balance.container_id
  LEFT JOIN movement ON movement.container_id = balance.container_id AND movement.seq <= balance.up_to
  WHERE balance.laboratory_id = $1
  GROUP BY balance.id, balance.seq, balance.container_id, container.label, balance.up_to, balance.micro
  HAVING COALESCE(SUM(movement.micro), 0) <> balance.micro OR balance.micro < 0`;
