import type { ContainerCondition } from '../../../core/lot/receive.js';
import type { Made, TracedLot } from '../../../core/trace/trace.js';
import type { View } from '../../view.js';
import { grouped } from '../grouped.js';
import { asked, placesAfter, type Reach, usesOf } from './reach.js';
import type { TracedRun } from './runs.js';

/** The lots that a trace comes through, where it begins first, with their containers and how many runs each saw. */
export async function tracedLots(view: View, reach: Reach): Promise<TracedLot[]> {
  const { head, parameters } = usesOf(reach);
  const runs = await asked<{ containerId: string; runs: number | string }>(
    view,
    `${head} SELECT container_id AS "containerId", COUNT(DISTINCT run_id) AS runs FROM uses GROUP BY container_id`,
    parameters,
  );
  const components = await asked<Made>(
    view,
    `SELECT DISTINCT container_id AS "containerId", lot_id AS "lotId", at FROM component
      WHERE laboratory_id = $1 AND container_id IN (${placesAfter(1, reach.held.length)}) ORDER BY at, lot_id, container_id`,
    [view.laboratoryId, ...reach.held.map(({ containerId }) => containerId)],
  );
  const since = new Map(reach.held.map((each) => [each.containerId, each.since]));
  return lotsWith(
    view,
    reach.lots,
    components.filter(({ containerId, at }) => at >= (since.get(containerId) ?? '')),
    new Map(runs.map(({ containerId, runs: count }) => [containerId, Number(count)])),
  );
}

/**
 * The lots of these containers, what those were made of, and so on back to what was bought, each with what it was made of.
 * All that ever went into a bath is shown, whatever was in it at the time. Run counts are those of the runs given.
 */
export async function originsOf(view: View, runs: readonly TracedRun[]): Promise<TracedLot[]> {
  const containers = [...new Set(runs.flatMap(({ containerIds }) => containerIds))];
  if (containers.length === 0) return [];
  const head = `WITH RECURSIVE reached (lot_id) AS (
      SELECT lot_id FROM container WHERE laboratory_id = $1 AND id IN (${placesAfter(1, containers.length)})
      UNION
      SELECT container.lot_id FROM reached
        JOIN component ON component.lot_id = reached.lot_id JOIN container ON container.id = component.container_id)`;
  const parameters = [view.laboratoryId, ...containers];
  const lots = await asked<{ id: string }>(
    view,
    `${head} SELECT lot.id FROM reached JOIN lot ON lot.id = reached.lot_id ORDER BY lot.seq DESC, lot.id`,
    parameters,
  );
  const made = await asked<Made>(
    view,
    `${head} SELECT component.container_id AS "containerId", component.lot_id AS "lotId", component.at FROM reached
      JOIN component ON component.lot_id = reached.lot_id ORDER BY component.at, component.id`,
    parameters,
  );
  const counts = new Map(
    containers.map((id) => [id, runs.filter(({ containerIds }) => containerIds.includes(id)).length] as const),
  );
  return lotsWith(
    view,
    lots.map(({ id }) => id),
    made,
    counts,
  );
}

/** Lots by their ids in that order, with their containers. */
async function lotsWith(
  view: View,
  ids: readonly string[],
  made: readonly Made[],
  runs: ReadonlyMap<string, number>,
): Promise<TracedLot[]> {
  if (ids.length === 0) return [];
  const places = placesAfter(1, ids.length);
  const parameters = [view.laboratoryId, ...ids];
  const lots = await asked<Omit<TracedLot, 'containers' | 'madeOf'>>(
    view,
    `SELECT lot.id, lot.reagent_code AS reagent, lot.number, lot.origin, lot.source, lot.received_at AS "receivedAt",
        COALESCE((SELECT standing FROM lot_act WHERE lot_act.lot_id = lot.id ORDER BY at DESC, seq DESC, lot_act.id DESC LIMIT 1),
          'quarantined') AS standing
      FROM lot WHERE lot.laboratory_id = $1 AND lot.id IN (${places})`,
    parameters,
  );
  const containers = await asked<{ lotId: string; id: string; label: string; state: ContainerCondition }>(
    view,
    `SELECT container.lot_id AS "lotId", container.id, container.label,
        COALESCE((SELECT state FROM container_act WHERE container_act.container_id = container.id
          ORDER BY at DESC, seq DESC, container_act.id DESC LIMIT 1), 'unopened') AS state
      FROM container WHERE container.laboratory_id = $1 AND container.lot_id IN (${places})
      ORDER BY container.seq, container.id`,
    parameters,
  );
  const byLot = grouped(
    containers,
    ({ lotId }) => lotId,
    ({ id, label, state }) => ({ id, label, state, runs: runs.get(id) ?? 0 }),
  );
  const edges = grouped(
    made,
    ({ lotId }) => lotId,
    ({ containerId, lotId, at }) => ({ containerId, lotId, at }),
  );
  const known = new Map(lots.map((lot) => [lot.id, lot]));
  return ids.flatMap((id) => {
    const lot = known.get(id);
    return lot ? [{ ...lot, containers: byLot.get(id) ?? [], madeOf: edges.get(id) ?? [] }] : [];
  });
}
