import { In } from 'typeorm';
import type { ReviewGrant } from '../../../core/people/review.js';
import { ReviewGrantEndRow, ReviewGrantRow } from '../../rows/review.entity.js';
import type { View } from '../../view.js';

/** A grant with how it came and went. */
export interface KnownGrant extends ReviewGrant {
  row: ReviewGrantRow;
  end: ReviewGrantEndRow | null;
}

/** Grants in the order in which they were given, of one person when one is named. */
export async function grantsOf(view: View, personId?: string): Promise<KnownGrant[]> {
  const rows = await view.all(ReviewGrantRow, personId === undefined ? {} : { personId }, {
    order: { seq: 'ASC', id: 'ASC' },
  });
  if (rows.length === 0) return [];
  const ends = await view.all(ReviewGrantEndRow, { grantId: In(rows.map(({ id }) => id)) });
  return rows.map((row) => {
    const end = ends.find(({ grantId }) => grantId === row.id) ?? null;
    const { id, from, to, protocols, areas, validFrom, validUntil } = row;
    return { id, from, to, protocols, areas, validFrom, validUntil, revokedAt: end?.at ?? null, row, end };
  });
}
