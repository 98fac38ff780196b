import type { ListDto } from '../../contract/list.dto.js';
import type { LotTraceDto, RecallDto, TracedRunListDto } from '../../contract/recalls.dto.js';
import type { KnownRecall } from '../../store/questions/recalls.js';
import { tracedLots } from '../../store/questions/trace/lots.js';
import { reachOf } from '../../store/questions/trace/reach.js';
import { traceCounts, tracedRunIds, tracedRuns } from '../../store/questions/trace/runs.js';
import type { View } from '../../store/view.js';

export async function lotTrace(view: View, roots: readonly string[]): Promise<LotTraceDto> {
  const reach = await reachOf(view, roots);
  const lots = await tracedLots(view, reach);
  return { roots: [...roots], counts: await traceCounts(view, reach, lots), lots };
}

export async function runPage(
  view: View,
  roots: readonly string[],
  { take, after }: ListDto,
): Promise<TracedRunListDto> {
  const reach = await reachOf(view, roots);
  const ids = await tracedRunIds(view, reach, { take, after });
  return { items: await tracedRuns(view, reach, ids), next: ids.length < take ? null : (ids.at(-1) ?? null) };
}

export function recallView({ row, shipments, preparations, lookbackId }: KnownRecall): RecallDto {
  const { id, reagentCode, number, gtin, at, personId, reason, notice, fileId } = row;
  return {
    id,
    reagent: reagentCode,
    number,
    gtin,
    at,
    personId,
    reason,
    notice,
    fileId,
    shipments,
    preparations,
    lookbackId,
  };
}
