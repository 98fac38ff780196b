import { MoreThan } from 'typeorm';
import { HeadRow, RecordRow } from '../rows/record.entity.js';
import type { View } from '../view.js';

/** Below every record number, those included that somebody made up. */
export const BEFORE_ALL = -2_147_483_648;

/** Number of the laboratory's last entry, 0 before the first. */
export async function lastSeq(view: View): Promise<number> {
  return (await view.one(HeadRow, {}))?.seq ?? 0;
}

/** The entries after a record number, in their order, at most `take`; those about one subject alone when it is given. */
export function entriesAfter(view: View, seq: number, take: number, subjectId?: string): Promise<RecordRow[]> {
  const about = subjectId === undefined ? {} : { subjectId };
  return view.all(RecordRow, { seq: MoreThan(seq), ...about }, { order: { seq: 'ASC' }, take });
}
