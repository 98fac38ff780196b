import type { ContainerFacts } from '../../core/lot/facts.js';
import { type LeavingReason, leavingReasons } from '../../core/storage/leaving.js';
import type { Instant } from '../../core/time/instant.js';
import { plusMs } from '../../core/time/instant.js';
import type { View } from '../view.js';
import { containerFacts } from './containers.js';
import { placesOf, whereabouts } from './places.js';
import { reagentsOf } from './reagents.js';

/** Fewer ids than any database takes in one statement. */
const CHUNK = 5_000;

/** A container that must leave the shelf. */
export interface Leaving {
  facts: ContainerFacts;
  place: string | null;
  reasons: LeavingReason[];
}

/** What must leave the shelf at an instant and is neither set apart, emptied nor discarded. */
export async function leavingShelf(view: View, now: Instant): Promise<Leaving[]> {
  const apart = new Set((await placesOf(view)).filter((each) => each.apart).map(({ code }) => code));
  const rows = (await (
    await view.ready()
  ).query(
    `SELECT container.id FROM container WHERE container.laboratory_id = $1 AND NOT EXISTS (SELECT 1 FROM container_act gone
      WHERE gone.container_id = container.id AND gone.state IN ('emptied', 'discarded')) ORDER BY container.id`,
    [view.laboratoryId],
  )) as { id: string }[];
  const found: Leaving[] = [];
  for (let from = 0; from < rows.length; from += CHUNK) {
    const ids = rows.slice(from, from + CHUNK).map(({ id }) => id);
    const all = await containerFacts(view, ids);
    const reagents = new Map(
      (await reagentsOf(view, [...new Set(all.map(({ reagent }) => reagent))])).map((each) => [each.code, each]),
    );
    const leaving = all
      .map((facts) => ({ facts, reasons: leavingReasons(facts, reagents.get(facts.reagent), now) }))
      .filter(({ reasons }) => reasons.length > 0);
    const places = await whereabouts(
      view,
      leaving.map(({ facts }) => facts.id),
    );
    for (const each of leaving) {
      const place = places.get(each.facts.id) ?? null;
      if (place === null || !apart.has(place)) found.push({ ...each, place });
    }
  }
  return found;
}

/** How far back runs are looked through for bottles that nobody recorded as opened. */
const LOOK_BACK_MS = 90 * 86_400_000;

/** A container that was used and of which nobody recorded when it was opened. */
export interface Undated {
  id: string;
  label: string;
  reagent: string;
  lotId: string;
  lotNumber: string;
  /** The first use that is known. */
  usedAt: Instant;
}

/** Containers that were used in the last 90 days without an opening date, by the ledger or on a run's tray. */
export async function undatedOpenings(view: View, now: Instant): Promise<Undated[]> {
  const manager = await view.ready();
  const from = plusMs(now, -LOOK_BACK_MS);
  const booked = (await manager.query(
    `SELECT movement.container_id AS id, MIN(movement.at) AS at FROM movement
      WHERE movement.laboratory_id = $1 AND movement.at >= $2 AND movement.kind IN ('used', 'taken') GROUP BY movement.container_id`,
    [view.laboratoryId, from],
  )) as { id: string; at: Instant }[];
  const scanned = (await manager.query(
    `SELECT event.data, event.received_at AS at FROM run_event event JOIN run ON run.id = event.run_id
      WHERE event.laboratory_id = $1 AND run.started_at >= $2 AND event.kind = 'tray-scanned' ORDER BY event.seq`,
    [view.laboratoryId, from],
  )) as { data: string; at: Instant }[];
  const used = new Map(booked.map(({ id, at }) => [id, at]));
  for (const { data, at } of scanned) {
    const { container } = JSON.parse(data) as { container: string };
    const known = used.get(container);
    if (known === undefined || at < known) used.set(container, at);
  }
  if (used.size === 0) return [];
  const unopened = (await manager.query(
    `SELECT container.id, container.label, lot.reagent_code AS reagent, lot.id AS "lotId", lot.number AS "lotNumber"
      FROM container JOIN lot ON lot.id = container.lot_id
      WHERE container.laboratory_id = $1 AND NOT EXISTS (SELECT 1 FROM container_act WHERE container_act.container_id = container.id)
      ORDER BY container.label`,
    [view.laboratoryId],
  )) as Omit<Undated, 'usedAt'>[];
  return unopened.flatMap((each) => {
    const usedAt = used.get(each.id);
    return usedAt === undefined ? [] : [{ ...each, usedAt }];
  });
}
