import type { Limit, LotStanding } from '../../core/lot/lot.js';
import { quantityOf, USUAL_UNIT } from '../../core/ledger/amount.js';
import type { Reagent } from '../../core/protocol/protocol.js';
import {
  type ComingStock,
  type OutlookFacts,
  type ShelfStock,
  type StockPolicy,
  USUAL_POLICY,
} from '../../core/stock/outlook-facts.js';
import { daysBetween, plusDays } from '../../core/time/days.js';
import { plusMs } from '../../core/time/instant.js';
import { localDay } from '../../core/time/zone.js';
import type { ProductRow } from '../rows/orders.entity.js';
import type { View } from '../view.js';
import { products, stockPolicies, suppliers } from './buying.js';
import { observedLeadDays, openOrders } from './orders.js';
import { catalogue } from './reagents.js';

/** Three years: what is older moves no forecast. */
const HISTORY_DAYS = 1095;
/** An order that has not come for so long is not coming. */
const ORDER_DAYS = 400;
/** Reagents whose history is fetched at once, so that a long ledger never stands in memory as a whole. */
const AT_ONCE = 100;

/** One reagent with everything that its outlook rests on. */
export interface KnownOutlook {
  reagent: Reagent;
  unit: string;
  facts: OutlookFacts;
  /** The product that would be bought. */
  product: ProductRow | null;
  /** True when it was made here within the history. */
  madeHere: boolean;
}

/**
 * The facts for the outlook of every reagent that has stock, a history or a product, in the order of their codes, or of one.
 * `today` is the local day. Demand is what was used by runs or by hand and what was taken into preparations, so that a
 * working solution asks for its components; neither discarded stock, or waste would feed itself, nor the differences of
 * counts, which correct the sum and are no use of that day.
 */
export async function* outlookFacts(
  view: View,
  today: string,
  zone: string,
  only?: string,
): AsyncGenerator<KnownOutlook> {
  const reagents = (await catalogue(view)).filter(({ code, kind }) => kind !== 'water' && (only ?? code) === code);
  const policies = new Map((await stockPolicies(view)).map((each) => [each.reagentCode, each]));
  const buyable = await buyableProducts(view);
  const orders = await ordered(view, today);
  const leads = await observedLeadDays(view);
  for (let n = 0; n < reagents.length; n += AT_ONCE) {
    const some = reagents.slice(n, n + AT_ONCE);
    const codes = some.map(({ code }) => code);
    const shelf = await shelves(view, codes, zone);
    const used = await histories(view, codes, today);
    for (const reagent of some) {
      const { code, unit = USUAL_UNIT } = reagent;
      const policy = policies.get(code);
      const product = chosen(buyable.get(code) ?? [], policy?.productCode ?? null);
      const past = used.get(code);
      const own = shelf.get(code) ?? [];
      if (!past && own.length === 0 && !product) continue;
      const facts: OutlookFacts = {
        history: past?.history ?? [],
        shelf: own,
        coming: orders.get(code)?.coming ?? [],
        inDrafts: orders.get(code)?.inDrafts ?? 0,
        policy: policy ? policyOf(policy) : USUAL_POLICY,
        product: product && termsOf(product),
        observedLeadDays: (product && leads.get(product.code)) ?? [],
      };
      yield { reagent, unit, facts, product, madeHere: past?.madeHere ?? false };
    }
  }
}

function policyOf({
  serviceLevel,
  coverDays,
  reviewDays,
  acceptanceDays,
  method,
  alpha,
  beta,
}: StockPolicy): StockPolicy {
  return { serviceLevel, coverDays, reviewDays, acceptanceDays, method, alpha, beta };
}

function termsOf(product: ProductRow): NonNullable<OutlookFacts['product']> {
  const packSize = packOf(product);
  return {
    packSize,
    minimumOrder: product.minimumPacks * packSize,
    leadTimeDays: { mean: product.leadDays, sd: product.leadSdDays },
    shelfLifeDaysOnArrival: product.shelfLifeDays,
  };
}

function packOf({ packContainers, containerMicro }: Pick<ProductRow, 'packContainers' | 'containerMicro'>): number {
  return amount(packContainers * containerMicro);
}

/** Millionths as a number of the declared unit. */
function amount(micro: number): number {
  return quantityOf(micro, USUAL_UNIT).value;
}

/** What can be bought now, by reagent, the cheapest by content first. */
async function buyableProducts(view: View): Promise<Map<string, ProductRow[]>> {
  const approved = new Set((await suppliers(view)).flatMap((each) => (each.approved ? each.code : [])));
  const found = new Map<string, ProductRow[]>();
  for (const product of await products(view)) {
    if (!product.offered || !approved.has(product.supplierCode)) continue;
    found.set(product.reagentCode, [...(found.get(product.reagentCode) ?? []), product]);
  }
  const price = (each: ProductRow): number => each.priceCents / packOf(each);
  for (const each of found.values()) each.sort((a, b) => price(a) - price(b));
  return found;
}

function chosen(buyable: readonly ProductRow[], wanted: string | null): ProductRow | null {
  return buyable.find(({ code }) => code === wanted) ?? buyable[0] ?? null;
}

/** What is on its way and what drafts ask for, by reagent. */
async function ordered(view: View, today: string): Promise<Map<string, { coming: ComingStock[]; inDrafts: number }>> {
  const found = new Map<string, { coming: ComingStock[]; inDrafts: number }>();
  const known = new Map((await products(view)).map((each) => [each.code, each]));
  for (const { row, acts, folded } of await openOrders(view, plusDays(today, -ORDER_DAYS))) {
    const from = (acts.find(({ kind }) => kind === 'sent') ?? acts.at(-1))?.day ?? today;
    for (const [index, line] of folded.lines.entries()) {
      const quantity = amount(line.open * line.containerMicro);
      if (quantity === 0) continue;
      const own = found.get(line.reagentCode) ?? { coming: [], inDrafts: 0 };
      found.set(line.reagentCode, own);
      if (folded.state === 'draft') {
        own.inDrafts += quantity;
        continue;
      }
      const product = known.get(line.productCode);
      const arrives = plusDays(from, Math.ceil(product?.leadDays ?? 0));
      const lastDay = product?.shelfLifeDays == null ? null : plusDays(arrives, product.shelfLifeDays);
      own.coming.push({ name: `${row.number}/${index + 1}`, quantity, arrives, lastDay });
    }
  }
  return found;
}

/** What stands on the shelves of these reagents, as far as it may be or become usable. */
async function shelves(view: View, codes: readonly string[], zone: string): Promise<Map<string, ShelfStock[]>> {
  const rows = (await (
    await view.ready()
  ).query(SHELVES.replace(':codes', places(codes, 2)), [view.laboratoryId, ...codes])) as StoredShelf[];
  const lastDays = new Map<string, string>();
  const found = new Map<string, ShelfStock[]>();
  for (const { code, label, limits, opened, standing, held, micro } of rows) {
    if (!(Number(micro) > 0) || standing === 'rejected' || standing === 'recalled') continue;
    const until = [
      ...(JSON.parse(limits) as Limit[]).map((limit) => limit.until),
      ...(opened === null ? [] : [opened]),
    ];
    const [first = null] = until.sort();
    let lastDay: string | null = null;
    if (first !== null) {
      // Reckoning in a zone is dear, and bottles of a lot end alike.
      lastDay = lastDays.get(first) ?? localDay(plusMs(first, -1), zone);
      lastDays.set(first, lastDay);
    }
    const usable = standing === 'accepted' && !Number(held);
    found.set(code, [...(found.get(code) ?? []), { name: label, quantity: amount(Number(micro)), lastDay, usable }]);
  }
  return found;
}

interface StoredShelf {
  code: string;
  label: string;
  limits: string;
  /** End of the opened life. */
  opened: string | null;
  standing: LotStanding | null;
  held: number | string;
  micro: number | null;
}

/** Containers that are not used up; a bath's content is in use and counts no more. */
const SHELVES = `SELECT lot.reagent_code AS code, container.label, lot.limits,
    (SELECT MIN(container_act.until) FROM container_act WHERE container_act.container_id = container.id) AS opened,
    (SELECT lot_act.standing FROM lot_act WHERE lot_act.lot_id = lot.id ORDER BY lot_act.seq DESC, lot_act.id DESC LIMIT 1)
      AS standing,
    (SELECT COUNT(*) FROM hold WHERE hold.container_id = container.id AND NOT EXISTS (
      SELECT 1 FROM hold_end WHERE hold_end.hold_id = hold.id)) AS held,
    (SELECT SUM(movement.micro) FROM movement WHERE movement.container_id = container.id) AS micro
  FROM lot JOIN container ON container.lot_id = lot.id
  WHERE lot.laboratory_id = $1 AND lot.reagent_code IN (:codes) AND container.vessel IS NULL
    AND NOT EXISTS (SELECT 1 FROM container_act WHERE container_act.container_id = container.id
      AND container_act.state IN ('emptied', 'discarded'))
    AND NOT EXISTS (SELECT 1 FROM hold JOIN hold_end ON hold_end.hold_id = hold.id
      WHERE hold.container_id = container.id AND NOT hold_end.usable)
  ORDER BY lot.reagent_code, container.label`;

interface Past {
  history: number[];
  madeHere: boolean;
}

/** The demand of each day up to yesterday, from the first day on which the reagent moved. */
async function histories(view: View, codes: readonly string[], today: string): Promise<Map<string, Past>> {
  const from = plusDays(today, -HISTORY_DAYS);
  const rows = (await (
    await view.ready()
  ).query(HISTORIES.replace(':codes', places(codes, 4)), [view.laboratoryId, from, today, ...codes])) as {
    code: string;
    days: string;
    made: number | string;
  }[];
  const numberOf = new Map(Array.from({ length: HISTORY_DAYS }, (_, n) => [plusDays(from, n), n]));
  return new Map(
    rows.map(({ code, days, made }) => {
      const history = Array<number>(HISTORY_DAYS).fill(0);
      let first = HISTORY_DAYS;
      for (const each of days.split(',')) {
        const n = numberOf.get(each.slice(0, 10)) ?? daysBetween(from, each.slice(0, 10));
        history[n] = amount(Number(each.slice(11)));
        first = Math.min(first, n);
      }
      return [code, { history: history.slice(first), madeHere: Number(made) > 0 }];
    }),
  );
}

/** One text a reagent: a row for each of its days would cost more to hand over than to sum up. */
const HISTORIES = `SELECT code, SUM(made) AS made, string_agg(day || '=' || used, ',') AS days FROM (
    SELECT reagent_code AS code, day, SUM(CASE WHEN kind = 'made' THEN 1 ELSE 0 END) AS made,
      CAST(SUM(CASE WHEN kind IN ('used', 'taken') THEN -micro ELSE 0 END) AS text) AS used
    FROM movement WHERE laboratory_id = $1 AND day >= $2 AND day < $3 AND reagent_code IN (:codes)
    GROUP BY reagent_code, day) AS by_day
  GROUP BY code`;

function places(values: readonly string[], first: number): string {
  return values.map((_, n) => `$${n + first}`).join(', ');
}
