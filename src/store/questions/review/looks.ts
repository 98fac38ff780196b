import { LessThan } from 'typeorm';
import { LookRow } from '../../rows/review.entity.js';
import type { View } from '../../view.js';

/** What reviewers looked at, the latest first, with how many looks there are in all. */
export async function looksOf(
  view: View,
  { personId, before, take }: { personId?: string | undefined; before?: number | undefined; take: number },
): Promise<{ total: number; rows: LookRow[] }> {
  const by = personId === undefined ? {} : { personId };
  const earlier = before === undefined ? {} : { seq: LessThan(before) };
  const rows = await view.all(LookRow, { ...by, ...earlier }, { order: { seq: 'DESC' }, take });
  return { total: await view.count(LookRow, by), rows };
}
