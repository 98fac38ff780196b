import { In, LessThanOrEqual } from 'typeorm';
import type { FactRow } from '../rows/fact.js';
import { BuyingRow, ProductRow, StockPolicyRow, SupplierRow } from '../rows/orders.entity.js';
import type { View } from '../view.js';

/** Rows of which the latest of a name counts, as they stand now or stood at a record number, in the order of names. */
function latest<T extends FactRow>(rows: readonly T[], nameOf: (row: T) => string): T[] {
  return [...new Map(rows.map((row) => [nameOf(row), row])).values()].sort((a, b) => (nameOf(a) < nameOf(b) ? -1 : 1));
}

const IN_ORDER = { order: { seq: 'ASC' as const, id: 'ASC' as const } };

/** The suppliers as they stand now. */
export async function suppliers(view: View): Promise<SupplierRow[]> {
  return latest(await view.all(SupplierRow, {}, IN_ORDER), ({ code }) => code);
}

/** A supplier as it stands now, or stood at a record number; null when it was unknown. */
export async function supplierOf(view: View, code: string, upToSeq?: number): Promise<SupplierRow | null> {
  const upTo = upToSeq === undefined ? {} : { seq: LessThanOrEqual(upToSeq) };
  const rows = await view.all(SupplierRow, { code, ...upTo }, { order: { seq: 'DESC', id: 'DESC' }, take: 1 });
  return rows[0] ?? null;
}

/** The products as they stand now. */
export async function products(view: View): Promise<ProductRow[]> {
  return latest(await view.all(ProductRow, {}, IN_ORDER), ({ code }) => code);
}

/** The products of these codes as they stand now. */
export async function productsOf(view: View, codes: readonly string[]): Promise<ProductRow[]> {
  return latest(await view.all(ProductRow, { code: In([...codes]) }, IN_ORDER), ({ code }) => code);
}

/** How each reagent is kept in stock, where that was set. */
export async function stockPolicies(view: View): Promise<StockPolicyRow[]> {
  return latest(await view.all(StockPolicyRow, {}, IN_ORDER), ({ reagentCode }) => reagentCode);
}

/** How a laboratory buys. */
export type Buying = Pick<BuyingRow, 'currency' | 'signedAboveCents' | 'deliverTo'>;

/** What counts before anything was set: common practice, no source. */
const USUAL_BUYING: Buying = { currency: 'EUR', signedAboveCents: 100_000, deliverTo: null };

/** How this laboratory buys, as it stands now. */
export async function buyingOf(view: View): Promise<Buying> {
  const rows = await view.all(BuyingRow, {}, { order: { seq: 'DESC', id: 'DESC' }, take: 1 });
  return rows[0] ?? USUAL_BUYING;
}
