import { In, LessThan } from 'typeorm';
import type { LotStanding } from '../../core/lot/lot.js';
import { LotActRow, LotRow } from '../rows/stock.entity.js';
import { StudyDecisionRow, StudyExclusionRow, StudyPairRow, StudyRow } from '../rows/studies.entity.js';
import type { View } from '../view.js';

export interface KnownPair {
  row: StudyPairRow;
  exclusion: StudyExclusionRow | null;
}

export interface KnownStudy {
  row: StudyRow;
  /** The new lot and the old one. */
  lots: { row: LotRow; standing: LotStanding }[];
  pairs: KnownPair[];
  decision: StudyDecisionRow | null;
}

/** Studies, newest first. */
export async function knownStudies(
  view: View,
  { take, after, ...choice }: { take: number; after?: string | undefined; id?: string; lotId?: string },
): Promise<KnownStudy[]> {
  const rows = await view.all(
    StudyRow,
    { ...(after !== undefined && { id: LessThan(after) }), ...choice },
    { order: { id: 'DESC' }, take },
  );
  const inOrder = { order: { seq: 'ASC' as const, id: 'ASC' as const } };
  const studyId = In(rows.map(({ id }) => id));
  const lotIds = rows.flatMap(({ lotId, oldLotId }) => [lotId, oldLotId]);
  const lots = await view.all(LotRow, { id: In(lotIds) });
  const acts = await view.all(LotActRow, { lotId: In(lotIds) }, inOrder);
  const pairs = await view.all(StudyPairRow, { studyId }, inOrder);
  const exclusions = await view.all(StudyExclusionRow, { pairId: In(pairs.map(({ id }) => id)) });
  const decisions = await view.all(StudyDecisionRow, { studyId });
  const lotOf = (id: string) =>
    lots
      .filter((lot) => lot.id === id)
      .map((row) => ({
        row,
        standing: acts.findLast(({ lotId }) => lotId === id)?.standing ?? ('quarantined' as const),
      }));
  return rows.map((row) => ({
    row,
    lots: [...lotOf(row.lotId), ...lotOf(row.oldLotId)],
    pairs: pairs
      .filter((each) => each.studyId === row.id)
      .map((pair) => ({ row: pair, exclusion: exclusions.find(({ pairId }) => pairId === pair.id) ?? null })),
    decision: decisions.find((each) => each.studyId === row.id) ?? null,
  }));
}
