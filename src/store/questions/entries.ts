import { And, LessThan, MoreThan, MoreThanOrEqual } from 'typeorm';
import type { Instant } from '../../core/time/instant.js';
import { HeadRow, RecordRow } from '../rows/record.entity.js';
import type { View } from '../view.js';

/** Below every record number, those included that somebody made up. */
export const BEFORE_ALL = -2_147_483_648;

/** Number of the laboratory's last entry, 0 before the first. */
export async function lastSeq(view: View): Promise<number> {
  return (await view.one(HeadRow, {}))?.seq ?? 0;
}

/**
 * The entries after a record number, in their order, at most `take`; those about one subject, or of one period, alone when
 * it is given.
 */
export function entriesAfter(
  view: View,
  seq: number,
  take: number,
  subjectId?: string,
  period?: { from: Instant; to: Instant },
): Promise<RecordRow[]> {
  const about = subjectId === undefined ? {} : { subjectId };
  const within = period === undefined ? {} : { at: And(MoreThanOrEqual(period.from), LessThan(period.to)) };
  return view.all(RecordRow, { seq: MoreThan(seq), ...about, ...within }, { order: { seq: 'ASC' }, take });
}

/** Number of the last entry of a period, 0 when it has none. */
export async function lastSeqIn(view: View, { from, to }: { from: Instant; to: Instant }): Promise<number> {
  const [last] = await view.all(
    RecordRow,
    { at: And(MoreThanOrEqual(from), LessThan(to)) },
    { order: { seq: 'DESC' }, take: 1 },
  );
  return last?.seq ?? 0;
}
