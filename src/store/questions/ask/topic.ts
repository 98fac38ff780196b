import type { ReviewScope } from '../../../core/people/review.js';
import type { Instant } from '../../../core/time/instant.js';
import type { View } from '../../view.js';
import { inProtocols } from '../review/within.js';
import { type Sql, sql } from '../sql.js';

/** Something that the record can be asked about. */
export interface Found {
  id: string;
  label: string;
  detail: string;
}

/** How the record is asked about one kind of thing. */
export interface Topic {
  /** Things whose names hold a text, at most a dozen. */
  find: (view: View, asking: Asking, text: string) => Promise<Found[]>;
  /** The thing itself; refuses when there is none. */
  need: (view: View, id: string) => Promise<Found>;
  /** Which runs of the period belong to it, as a condition on `run` and `revision`. */
  runs: (view: View, id: string) => Promise<Sql>;
  /** Which acts belong to it besides those on its runs, as a condition on `entry`. */
  acts: (view: View, id: string) => Promise<Sql>;
  /** Which acts on its runs belong to it, as a condition on `entry`; all when left out. */
  ofRuns?: (id: string) => Sql;
}

/** A period, and the protocols that the asker may see. */
export interface Asking {
  from: Instant;
  to: Instant;
  protocols: ReviewScope['protocols'];
}

/** What a finder shows at most. */
export const FOUND = 12;

/** Runs of a period that an asker may see; `which` narrows them. */
export function runsOf({ laboratoryId }: View, { from, to, protocols }: Asking, which: Sql): Sql {
  return sql`SELECT run.id, run.purpose, run.started_at, run.station, run.person_id, run.revision_id,
      revision.protocol_id, revision.number, revision.title FROM run JOIN revision ON revision.id = run.revision_id
    WHERE run.laboratory_id = ${laboratoryId} AND run.started_at >= ${from} AND run.started_at < ${to}
      AND ${inProtocols({ protocols }, sql`revision.protocol_id`)} AND ${which}`;
}

/** What belongs to everything. */
export const ALL = sql`1 = 1`;
