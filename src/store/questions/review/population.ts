import type { Sampled } from '../../../core/ask/sampled.js';
import type { Instant } from '../../../core/time/instant.js';
import type { View } from '../../view.js';
import { ALL, type Asking, runsOf } from '../ask/topic.js';
import { rowsOf, type Sql, sql } from '../sql.js';
import { inProtocols } from './within.js';

/** One thing that a sample can hold. */
export interface Member {
  id: string;
  at: Instant;
  kind: string;
  ref: string;
  what: string;
}

const POPULATIONS: Record<Sampled, (view: View, asking: Asking) => Sql> = {
  runs: (view, asking) => sql`SELECT id AS "id", started_at AS "at", 'run' AS "kind", id AS "ref", title AS "what"
    FROM (${runsOf(view, asking, ALL)}) worked`,
  releases: (
    view,
    asking,
  ) => sql`SELECT release.id AS "id", worked.started_at AS "at", 'run' AS "kind", worked.id AS "ref",
      worked.title || ': ' || release.kind AS "what"
    FROM (${runsOf(view, asking, ALL)}) worked JOIN release ON release.run_id = worked.id`,
  lots: (view, asking) => sql`SELECT lot.id AS "id", lot.received_at AS "at", 'lot' AS "kind", lot.id AS "ref",
      lot.reagent_code || ' ' || lot.number AS "what"
    FROM lot WHERE lot.laboratory_id = ${view.laboratoryId}
      AND lot.received_at >= ${asking.from} AND lot.received_at < ${asking.to}`,
  'control readings': (
    view,
    asking,
  ) => sql`SELECT result.id AS "id", result.at AS "at", CASE WHEN result.run_id IS NULL THEN 'control-result' ELSE 'run' END AS "kind",
      COALESCE(result.run_id, result.id) AS "ref", result.protocol_id || ' ' || result.requirement AS "what"
    FROM control_result result WHERE result.laboratory_id = ${view.laboratoryId}
      AND result.stained_at >= ${asking.from} AND result.stained_at < ${asking.to}
      AND ${inProtocols(asking, sql`result.protocol_id`)}`,
};

/** Everything of a kind in a period, in no particular order. */
export function populationOf(view: View, of: Sampled, asking: Asking): Promise<Member[]> {
  return rowsOf<Member>(view, POPULATIONS[of](view, asking));
}
