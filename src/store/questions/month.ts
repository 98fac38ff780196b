import type { MonthDto } from '../../contract/month.dto.js';
import { Refusal } from '../../core/refusal.js';
import type { Instant } from '../../core/time/instant.js';
import { endOfMonth, startOfMonth } from '../../core/time/zone.js';
import { HeadRow } from '../rows/record.entity.js';
import type { View } from '../view.js';
import { needLaboratory } from './laboratories.js';
import { monthControls, monthSeries } from './month/controls.js';
import { monthDeviations } from './month/deviations.js';
import { monthRounds, ranOut } from './month/ran-out.js';
import { type MonthSpan, protocolTitles } from './month/span.js';
import { monthStock } from './month/stock.js';
import { lateRuns, monthWork } from './month/work.js';

/**
 * The laboratory's month by its own zone, '2026-11': what was done and found in the runs that started in it, its controls
 * and what ran out. Refuses text that is no month and a month that has not begun.
 */
export async function monthOf(view: View, month: string, now: Instant): Promise<MonthDto> {
  const { name, zone } = await needLaboratory(view);
  const from = startOfMonth(month, zone);
  const to = endOfMonth(month, zone);
  if (from > now) {
    throw new Refusal('invalid', 'in-future', `${month} has not begun; ask for this month or an earlier one.`);
  }
  const span: MonthSpan = { from, to, until: to < now ? to : now, now, zone };
  const head = await view.one(HeadRow, {});
  const titles = await protocolTitles(view);
  return {
    laboratory: name,
    zone,
    month,
    from,
    to,
    over: to <= now,
    seq: head?.seq ?? 0,
    hash: head?.hash ?? '',
    ...(await lateRuns(view, span)),
    ...(await monthWork(view, span, titles)),
    ...(await monthControls(view, span, titles)),
    series: await monthSeries(view, span),
    ...(await monthStock(view, span)),
    ranOut: await ranOut(view, span, titles),
    rounds: await monthRounds(view, span, titles),
    deviations: await monthDeviations(view, span),
  };
}
