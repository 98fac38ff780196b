import type { Instant } from '../../../core/time/instant.js';
import type { View } from '../../view.js';

/**
 * The lots that hold something of the lots `:roots`, those themselves included, each with the instant since when: through
 * preparations, preparations of preparations, and what topped a bath up. What was taken from a bath before it was topped
 * up holds nothing of it.
 */
const REACHED = `WITH RECURSIVE reached (lot_id, since) AS (
    SELECT id, CAST('' AS text) FROM lot WHERE laboratory_id = $1 AND id IN (:roots)
    UNION
    SELECT component.lot_id, component.at FROM reached
      JOIN container ON container.lot_id = reached.lot_id
      JOIN component ON component.container_id = container.id AND component.at >= reached.since)
  SELECT lot_id AS "lotId", MIN(since) AS since FROM reached GROUP BY lot_id ORDER BY MIN(since), lot_id`;

/** Their containers, each with whether it stood on a tray before it held anything of the roots. */
const HELD = `SELECT container.id AS "containerId", container.lot_id AS "lotId" FROM container
  WHERE container.laboratory_id = $1 AND container.lot_id IN (:lots) ORDER BY container.seq, container.id`;

const EARLY = `SELECT held.container_id AS "containerId" FROM (:held) held
  WHERE EXISTS (SELECT 1 FROM tray_use WHERE tray_use.container_id = held.container_id AND tray_use.at < held.since)`;

/** A container that holds something of where a trace began. */
interface Held {
  containerId: string;
  /** Since when; empty for ever. */
  since: Instant | '';
  /** Whether it stood on a tray before that. */
  early: boolean;
}

/** How far lots reach: what is asked about them begins with it. */
export interface Reach {
  /** The lots where it begins. */
  roots: readonly string[];
  /** All lots that hold something of them, those themselves first. */
  lots: readonly string[];
  held: readonly Held[];
}

/** How far these lots reach. */
export async function reachOf(view: View, roots: readonly string[]): Promise<Reach> {
  const lots = await asked<{ lotId: string; since: Held['since'] }>(
    view,
    REACHED.replace(':roots', placesAfter(1, roots.length)),
    [view.laboratoryId, ...roots],
  );
  const lotIds = lots.map(({ lotId }) => lotId);
  const containers = await asked<{ containerId: string; lotId: string }>(
    view,
    HELD.replace(':lots', placesAfter(1, lotIds.length)),
    [view.laboratoryId, ...lotIds],
  );
  const since = new Map(lots.map((lot) => [lot.lotId, lot.since]));
  const held = containers.map(({ containerId, lotId }) => ({ containerId, since: since.get(lotId) ?? '' }));
  const made = held.filter((each) => each.since !== '');
  const early = await asked<{ containerId: string }>(
    view,
    EARLY.replace(':held', heldValues(made.length)),
    made.flatMap((each) => [each.containerId, each.since]),
  );
  const earlyIds = new Set(early.map(({ containerId }) => containerId));
  return { roots, lots: lotIds, held: held.map((each) => ({ ...each, early: earlyIds.has(each.containerId) })) };
}

/** So many containers with the instant since when, as a table. */
function heldValues(count: number, before = 0): string {
  const rows = Array.from(
    { length: count },
    (_, n) => `SELECT $${before + 2 * n + 1} AS container_id, $${before + 2 * n + 2} AS since`,
  );
  return rows.join(' UNION ALL ') || `SELECT '' AS container_id, '' AS since WHERE 1 = 0`;
}

/** Patients' specimens and slides in those runs: what a lookback asks about. */
const TOUCHED = `touched AS (
    SELECT DISTINCT run_subject.run_id, run_subject.subject_id FROM uses
      JOIN run ON run.id = uses.run_id AND run.purpose = 'patients'
      JOIN run_subject ON run_subject.run_id = uses.run_id AND run_subject.role = 'patient')`;

/** The beginning of a query, and its parameters. */
export interface Head {
  head: string;
  parameters: string[];
}

/**
 * The beginning of a query over `uses` and `touched`: the runs on whose tray one of these containers stood since it held
 * what is traced, or still stood when it came to hold it; in all runs or in some.
 */
export function usesOf({ held }: Reach, runIds?: readonly string[]): Head {
  const parts: string[] = [];
  const parameters: string[] = [];
  const add = (containers: readonly Held[], join: string): void => {
    if (containers.length === 0) return;
    const table = heldValues(containers.length, parameters.length);
    parameters.push(...containers.flatMap(({ containerId, since }) => [containerId, since]));
    const runs = runIds ? ` AND tray_use.run_id IN (${placesAfter(parameters.length, runIds.length)})` : '';
    parameters.push(...(runIds ?? []));
    parts.push(`SELECT tray_use.run_id, tray_use.container_id FROM (${table}) held
      JOIN tray_use ON tray_use.container_id = held.container_id${runs} ${join}`);
  };
  add(held, 'AND tray_use.at >= held.since');
  add(
    held.filter(({ early }) => early),
    `AND tray_use.at < held.since WHERE EXISTS (SELECT 1 FROM run_event later
      WHERE later.run_id = tray_use.run_id AND later.received_at >= held.since)`,
  );
  const uses = parts.join(' UNION ALL ') || `SELECT '' AS run_id, '' AS container_id WHERE 1 = 0`;
  return { head: `WITH uses AS NOT MATERIALIZED (${uses}), ${TOUCHED}`, parameters };
}

export async function asked<T>(view: View, sql: string, parameters: unknown[]): Promise<T[]> {
  return (await (await view.ready()).query(sql, parameters)) as T[];
}

/** A list of numbered parameters that begins after `before` others; NULL, which nothing equals, for none. */
export function placesAfter(before: number, count: number): string {
  if (count === 0) return 'NULL';
  return Array.from({ length: count }, (_, n) => `$${before + n + 1}`).join(', ');
}

/** Ids of the lots that were made of these, through preparations of preparations, those themselves left out. */
export async function lotsMadeOf(view: View, roots: readonly string[]): Promise<string[]> {
  const { lots } = await reachOf(view, roots);
  return lots.filter((id) => !roots.includes(id));
}
