import type { OrderDto, OrderSummaryDto } from '../../contract/orders.dto.js';
import { quantityOf, USUAL_UNIT } from '../../core/ledger/amount.js';
import { buyingOf, suppliers } from '../../store/questions/buying.js';
import type { KnownOrder } from '../../store/questions/orders.js';
import { namesOf } from '../../store/questions/people.js';
import { reagentsOf } from '../../store/questions/reagents.js';
import type { View } from '../../store/view.js';

/** Orders in a few words each. */
export async function orderSummaries(view: View, orders: readonly KnownOrder[]): Promise<OrderSummaryDto[]> {
  const names = new Map((await suppliers(view)).map(({ code, name }) => [code, name]));
  const { currency } = await buyingOf(view);
  return orders.map(({ row, acts, folded }) => ({
    id: row.id,
    number: row.number,
    supplier: row.supplierCode,
    supplierName: names.get(row.supplierCode) ?? row.supplierCode,
    at: row.at,
    state: folded.state,
    // An approved order stays in the currency in which it was approved.
    currency: acts.find(({ kind }) => kind === 'approved')?.data.currency ?? currency,
    totalCents: folded.totalCents,
    lineCount: folded.lines.length,
    wantedBy: folded.wantedBy,
  }));
}

/** An order with its lines, and what was done with it by whom. */
export async function orderView(view: View, order: KnownOrder): Promise<OrderDto> {
  const [summary] = await orderSummaries(view, [order]);
  const { acts, receipts, folded } = order;
  const names = await namesOf(
    view,
    [...acts, ...receipts].map(({ personId }) => personId),
  );
  const units = await unitsOf(
    view,
    folded.lines.map(({ reagentCode }) => reagentCode),
  );
  const { signedAboveCents } = await buyingOf(view);
  return {
    ...(summary as OrderSummaryDto),
    version: acts.length,
    signedAboveCents,
    lines: folded.lines.map((line) => ({
      product: line.productCode,
      reagent: line.reagentCode,
      name: line.name,
      itemNumber: line.itemNumber,
      gtin: line.gtin,
      packs: line.packs,
      packContainers: line.packContainers,
      amount: quantityOf(line.containerMicro, units.get(line.reagentCode) ?? USUAL_UNIT),
      priceCents: line.priceCents,
      ordered: line.ordered,
      received: line.received,
      open: line.open,
    })),
    acts: acts.map(({ kind, at, personId, data: { how, note, signature } }) => ({
      kind,
      at,
      personId,
      person: names[personId] ?? null,
      ...(how && { how }),
      ...(note !== undefined && { note }),
      ...(signature && { signature }),
    })),
    receipts: receipts.map((each) => ({
      id: each.id,
      line: each.line,
      kind: each.kind,
      at: each.at,
      person: names[each.personId] ?? null,
      product: each.productCode,
      containers: each.containers,
      number: each.lotNumber,
      expiry: each.expiry,
      lotId: each.lotId,
      reason: each.reason,
    })),
  };
}

async function unitsOf(view: View, codes: readonly string[]): Promise<Map<string, string>> {
  return new Map((await reagentsOf(view, codes)).map(({ code, unit }) => [code, unit ?? USUAL_UNIT]));
}
