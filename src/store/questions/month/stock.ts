import { In } from 'typeorm';
import type { MonthLotDto, MonthDiscardedDto } from '../../../contract/month.dto.js';
import { quantityOf, USUAL_UNIT } from '../../../core/ledger/amount.js';
import { usableUntil } from '../../../core/lot/expiry.js';
import type { Limit } from '../../../core/lot/lot.js';
import type { Instant } from '../../../core/time/instant.js';
import { ContainerActRow, ContainerRow } from '../../rows/stock.entity.js';
import type { View } from '../../view.js';
import { catalogue } from '../reagents.js';
import { type MonthSpan, within } from './span.js';

interface LotEnd {
  lotId: string;
  what: MonthLotDto['what'];
  reagentCode: string;
  number: string;
  at: Instant;
}

/** Lots that expired with something left of them, were recalled or rejected in a month, and what was discarded. */
export async function monthStock(
  view: View,
  span: MonthSpan,
): Promise<{ lots: MonthLotDto[]; waste: MonthDiscardedDto[] }> {
  const reagents = new Map((await catalogue(view)).map((each) => [each.code, each]));
  const nameOf = (code: string): string => reagents.get(code)?.name ?? code;
  const ends = [...(await expired(view, span)), ...(await decided(view, span))];
  const left = await leftOf(view, ends);
  const lots = ends
    .map(({ reagentCode, ...end }, n) => ({ ...end, reagent: nameOf(reagentCode), containers: left[n] ?? 0 }))
    .filter(({ what, containers }) => what !== 'expired' || containers > 0);
  return {
    lots: lots.sort((a, b) => (a.at < b.at ? -1 : 1)),
    waste: (await discarded(view, span)).map(({ reagentCode, containers, micro }) => {
      const { value, unit } = quantityOf(Number(micro), reagents.get(reagentCode)?.unit ?? USUAL_UNIT);
      return { reagent: nameOf(reagentCode), containers: Number(containers), amount: value, unit };
    }),
  };
}

/** Limits stand as instants, so a month that ends by the zone lies in two months of UTC at most. */
async function expired(view: View, { from, until }: MonthSpan): Promise<LotEnd[]> {
  const rows = (await (
    await view.ready()
  ).query(
    `SELECT id AS "lotId", reagent_code AS "reagentCode", number, limits FROM lot
      WHERE laboratory_id = $1 AND (limits LIKE $2 OR limits LIKE $3) ORDER BY id`,
    [view.laboratoryId, `%"${from.slice(0, 7)}%`, `%"${until.slice(0, 7)}%`],
  )) as { lotId: string; reagentCode: string; number: string; limits: string }[];
  return rows.flatMap(({ limits, ...lot }): LotEnd[] => {
    const at = usableUntil(JSON.parse(limits) as Limit[]);
    return at !== null && at >= from && at < until ? [{ ...lot, what: 'expired', at }] : [];
  });
}

function decided(view: View, span: MonthSpan): Promise<LotEnd[]> {
  return within(
    view,
    span,
    `SELECT lot.id AS "lotId", act.standing AS "what", lot.reagent_code AS "reagentCode", lot.number AS "number", act.at AS "at"
       FROM lot_act act JOIN lot ON lot.id = act.lot_id
      WHERE act.laboratory_id = $1 AND act.at >= $2 AND act.at < $3 AND act.standing IN ('recalled', 'rejected')
      ORDER BY act.seq, act.id`,
  );
}

/** Of each lot, how many containers were neither empty nor discarded when it ended. */
async function leftOf(view: View, ends: readonly LotEnd[]): Promise<number[]> {
  const containers = await view.all(ContainerRow, { lotId: In(ends.map(({ lotId }) => lotId)) });
  const gone = await view.all(ContainerActRow, {
    containerId: In(containers.map(({ id }) => id)),
    state: In(['emptied', 'discarded']),
  });
  return ends.map(
    ({ lotId, at }) =>
      containers.filter(
        (container) =>
          container.lotId === lotId && !gone.some((act) => act.containerId === container.id && act.at <= at),
      ).length,
  );
}

/** Containers discarded, and what the ledger says was thrown away, whole containers or not, by reagent. */
async function discarded(
  view: View,
  span: MonthSpan,
): Promise<{ reagentCode: string; containers: number; micro: number }[]> {
  const containers = await within<{ reagentCode: string; count: number | string }>(
    view,
    span,
    `SELECT lot.reagent_code AS "reagentCode", COUNT(DISTINCT container.id) AS "count" FROM container_act act
       JOIN container ON container.id = act.container_id
       JOIN lot ON lot.id = container.lot_id
      WHERE act.laboratory_id = $1 AND act.at >= $2 AND act.at < $3 AND act.state = 'discarded' GROUP BY lot.reagent_code`,
  );
  const amounts = await within<{ reagentCode: string; micro: number | string }>(
    view,
    span,
    `SELECT reagent_code AS "reagentCode", SUM(-micro) AS "micro" FROM movement
      WHERE laboratory_id = $1 AND at >= $2 AND at < $3 AND kind = 'discarded' GROUP BY reagent_code`,
  );
  const codes = [...new Set([...containers, ...amounts].map(({ reagentCode }) => reagentCode))].sort();
  return codes.map((code) => ({
    reagentCode: code,
    containers: Number(containers.find(({ reagentCode }) => reagentCode === code)?.count ?? 0),
    micro: Number(amounts.find(({ reagentCode }) => reagentCode === code)?.micro ?? 0),
  }));
}
