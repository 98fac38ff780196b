import type { BathFacts } from '../../core/lot/bath.js';
import type { Limit } from '../../core/lot/lot.js';
import type { Instant } from '../../core/time/instant.js';
import type { View } from '../view.js';

/** What wears a bath out, and the limits of what topped it up. */
export interface StoredBath {
  facts: BathFacts;
  added: Limit[];
}

/** What is known about baths from facts up to a record number, by container; three queries, and none without a bath. */
export async function bathFacts(view: View, ids: readonly string[], upToSeq: number): Promise<Map<string, StoredBath>> {
  if (ids.length === 0) return new Map();
  const baths = await ask<Made>(view, BATHS, ids, upToSeq);
  const acts = await ask<Act>(view, ACTS, ids, upToSeq);
  const uses = await ask<Use>(view, USES, ids, upToSeq);
  return new Map(
    baths.map(({ containerId, at, maxSlides, filterEvery, filteredUntil }) => {
      const own = acts.filter((act) => act.containerId === containerId);
      const facts: BathFacts = {
        maxSlides,
        passed: uses
          .filter((use) => use.containerId === containerId && use.slides > 0)
          .map(({ at: used, slides, runId }) => ({ at: used, slides, runId })),
        filterEvery,
        filtered: [
          { at, until: filteredUntil },
          ...own.filter(({ kind }) => kind === 'filtered').map((act) => ({ at: act.at, until: act.until })),
        ],
      };
      const added = own.flatMap(({ limits }) => (limits === null ? [] : (JSON.parse(limits) as Limit[])));
      return [containerId, { facts, added }];
    }),
  );
}

interface Made {
  containerId: string;
  at: Instant;
  maxSlides: number | null;
  filterEvery: string | null;
  filteredUntil: Instant | null;
}
const BATHS = `SELECT container_id AS "containerId", at, max_slides AS "maxSlides", filter_every AS "filterEvery",
    filtered_until AS "filteredUntil"
  FROM bath WHERE laboratory_id = $1 AND seq <= $2 AND container_id IN (:ids)`;

interface Act {
  containerId: string;
  kind: string;
  at: Instant;
  until: Instant | null;
  limits: string | null;
}
const ACTS = `SELECT container_id AS "containerId", kind, at, until, limits FROM bath_act
  WHERE laboratory_id = $1 AND seq <= $2 AND container_id IN (:ids) ORDER BY at, seq, id`;

interface Use {
  containerId: string;
  runId: string;
  at: Instant;
  slides: number;
}
/** Of one step in one run the latest row counts. */
const USES = `SELECT container_id AS "containerId", run_id AS "runId", at, slides FROM bath_use
  WHERE laboratory_id = $1 AND seq <= $2 AND container_id IN (:ids)
    AND NOT EXISTS (SELECT 1 FROM bath_use later WHERE later.container_id = bath_use.container_id
      AND later.run_id = bath_use.run_id AND later.step = bath_use.step AND later.seq <= $2 AND later.seq > bath_use.seq)
  ORDER BY at, seq, id`;

async function ask<T>(view: View, sql: string, ids: readonly string[], upToSeq: number): Promise<T[]> {
  const places = ids.map((_, n) => `$${n + 3}`).join(', ');
  return (await (await view.ready()).query(sql.replace(':ids', places), [view.laboratoryId, upToSeq, ...ids])) as T[];
}
