import type { Limit } from '../../../core/lot/lot.js';
import type { Instant } from '../../../core/time/instant.js';
import type { View } from '../../view.js';
import { runsOf } from '../ask/topic.js';
import { rowsOf, sql } from '../sql.js';
import { gapUnless, inPeriod, type Proof, type ProofRow, type Proving } from './proof.js';

/** Proofs of what holds for reagents and their storage. */
export const REAGENT_PROOFS = {
  'labels-whole': {
    sql: (view, proving) => sql`SELECT lot.id, lot.received_at AS at, 'lot' AS kind, lot.id AS ref,
        lot.reagent_code || ' ' || lot.number AS what,
        ${gapUnless(sql`(lot.expiry IS NOT NULL OR lot.limits <> '[]') AND lot.storage IS NOT NULL`)}
      FROM lot WHERE lot.laboratory_id = ${view.laboratoryId} AND ${inPeriod(sql`lot.received_at`, proving)}`,
  },
  'nothing-expired': { rows: containersUsed },
  'kits-not-mixed': {
    sql: () => sql`SELECT worked.id || ' ' || lot.kit AS id, MIN(worked.started_at) AS at, 'run' AS kind, worked.id AS ref,
        lot.kit AS what, CASE WHEN COUNT(DISTINCT lot.kit_lot) > 1 THEN 1 ELSE 0 END AS gap
      FROM worked JOIN tray_use ON tray_use.run_id = worked.id JOIN container ON container.id = tray_use.container_id
      JOIN lot ON lot.id = container.lot_id WHERE lot.kit IS NOT NULL GROUP BY worked.id, lot.kit`,
  },
  'storage-watched': {
    sql: (view, proving) => sql`SELECT place.id, place.at, 'place' AS kind, place.code AS ref, place.name AS what,
        ${gapUnless(sql`EXISTS (SELECT 1 FROM temperature WHERE temperature.laboratory_id = place.laboratory_id
          AND temperature.place = place.code AND temperature.until >= ${proving.asking.from}
          AND temperature.since < ${proving.asking.to})`)}
      FROM place WHERE place.laboratory_id = ${view.laboratoryId} AND place.at < ${proving.asking.to}
        AND (place.min IS NOT NULL OR place.max IS NOT NULL) AND place.seq = (SELECT MAX(later.seq) FROM place later
          WHERE later.laboratory_id = place.laboratory_id AND later.code = place.code AND later.at < ${proving.asking.to})`,
  },
  'storage-acted': {
    sql: (view, proving) => sql`SELECT excursion.id, excursion.since AS at, 'place' AS kind, excursion.place AS ref,
        excursion.place AS what, ${gapUnless(sql`EXISTS (SELECT 1 FROM excursion_end WHERE
          excursion_end.excursion_id = excursion.id) AND NOT EXISTS (SELECT 1 FROM hold WHERE hold.cause_id = excursion.id
          AND NOT EXISTS (SELECT 1 FROM hold_end WHERE hold_end.hold_id = hold.id))`)}
      FROM excursion WHERE excursion.laboratory_id = ${view.laboratoryId} AND ${inPeriod(sql`excursion.since`, proving)}`,
  },
  'lots-accepted': {
    sql: (_view, proving) => sql`SELECT lot.id, used.at, 'lot' AS kind, lot.id AS ref,
        lot.reagent_code || ' ' || lot.number AS what, ${gapUnless(sql`EXISTS (SELECT 1 FROM lot_act
          WHERE lot_act.lot_id = lot.id AND lot_act.standing = 'accepted' AND lot_act.at <= used.at)`)}
      FROM (SELECT container.lot_id, MIN(tray_use.at) AS at FROM worked JOIN tray_use ON tray_use.run_id = worked.id
        JOIN container ON container.id = tray_use.container_id GROUP BY container.lot_id) used
      JOIN lot ON lot.id = used.lot_id AND lot.origin = 'supplied'
      WHERE NOT EXISTS (SELECT 1 FROM container before JOIN tray_use ON tray_use.container_id = before.id
        JOIN run ON run.id = tray_use.run_id AND run.purpose = 'patients'
        WHERE before.lot_id = lot.id AND run.started_at < ${proving.asking.from})`,
  },
  'first-use-dated': {
    sql: () => sql`SELECT used.container_id AS id, used.at, 'lot' AS kind, container.lot_id AS ref, container.label AS what,
        ${gapUnless(sql`EXISTS (SELECT 1 FROM container_act act WHERE act.container_id = used.container_id
          AND act.state = 'opened' AND act.at <= used.at)`)}
      FROM (SELECT tray_use.container_id, MIN(tray_use.at) AS at FROM worked JOIN tray_use ON tray_use.run_id = worked.id
        GROUP BY tray_use.container_id) used
      JOIN container ON container.id = used.container_id AND container.vessel IS NULL`,
  },
  'batches-traced': {
    sql: (view, proving) => sql`SELECT lot.id, lot.received_at AS at, 'lot' AS kind, lot.id AS ref,
        lot.reagent_code || ' ' || lot.number AS what,
        ${gapUnless(sql`lot.source <> '' AND EXISTS (SELECT 1 FROM component WHERE component.lot_id = lot.id)`)}
      FROM lot WHERE lot.laboratory_id = ${view.laboratoryId} AND lot.origin = 'prepared'
        AND ${inPeriod(sql`lot.received_at`, proving)}`,
  },
} satisfies Record<string, Proof>;

interface UsedContainer {
  id: string;
  lotId: string;
  label: string;
  last: Instant;
  limits: string;
  opened: Instant | null;
}

/** Containers on trays of the period, each a gap when its last use came at or after the first limit that it had. */
async function containersUsed(view: View, { asking }: Proving): Promise<ProofRow[]> {
  const rows = await rowsOf<UsedContainer>(
    view,
    sql`SELECT used.container_id AS "id", container.lot_id AS "lotId", container.label AS "label", used.last AS "last",
        lot.limits AS "limits", (SELECT MIN(act.until) FROM container_act act WHERE act.container_id = used.container_id
          AND act.state = 'opened' AND act.at <= used.last) AS "opened"
      FROM (SELECT tray_use.container_id, MAX(tray_use.at) AS last
        FROM (${runsOf(view, asking, sql`run.purpose = 'patients'`)}) worked
        JOIN tray_use ON tray_use.run_id = worked.id GROUP BY tray_use.container_id) used
      JOIN container ON container.id = used.container_id JOIN lot ON lot.id = container.lot_id`,
  );
  return rows.map(({ id, lotId, label, last, limits, opened }) => {
    const ends = [...(JSON.parse(limits) as Limit[]).map(({ until }) => until), ...(opened === null ? [] : [opened])];
    return { id, at: last, kind: 'lot', ref: lotId, what: label, gap: ends.some((until) => until <= last) };
  });
}
