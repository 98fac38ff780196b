import { In, LessThan } from 'typeorm';
import type { MonthDeviationDto } from '../../../contract/month.dto.js';
import { deviationStanding } from '../../../core/deviations/deviation.js';
import { DeviationActRow, DeviationRow } from '../../rows/deviations.entity.js';
import type { View } from '../../view.js';
import type { MonthSpan } from './span.js';

/** Deviations opened in a month, and earlier ones that were not closed before it, as they stood at its end. */
export async function monthDeviations(view: View, { from, until }: MonthSpan): Promise<MonthDeviationDto[]> {
  const rows = await view.all(DeviationRow, { at: LessThan(until) }, { order: { number: 'ASC' } });
  const acts = await view.all(
    DeviationActRow,
    { deviationId: In(rows.map(({ id }) => id)), at: LessThan(until) },
    { order: { seq: 'ASC', id: 'ASC' } },
  );
  const byDeviation = new Map<string, DeviationActRow[]>();
  for (const act of acts) byDeviation.set(act.deviationId, [...(byDeviation.get(act.deviationId) ?? []), act]);
  return rows.flatMap((row): MonthDeviationDto[] => {
    const own = byDeviation.get(row.id) ?? [];
    const before = deviationStanding(
      row,
      own.filter(({ at }) => at < from),
    );
    if (row.at < from && before.state === 'closed' && own.every(({ at }) => at < from)) return [];
    const { state, effect } = deviationStanding(row, own);
    return [{ id: row.id, number: row.number, title: row.title, openedAt: row.at, state, effect }];
  });
}
