import { In, LessThan } from 'typeorm';
import { foldOrder, type FoldedOrder } from '../../core/stock/order.js';
import { daysBetween } from '../../core/time/days.js';
import { OrderActRow, OrderReceiptRow, OrderRow } from '../rows/orders.entity.js';
import type { View } from '../view.js';

/** An order with everything that was done with it, and where that leaves it. */
export interface KnownOrder {
  row: OrderRow;
  acts: OrderActRow[];
  receipts: OrderReceiptRow[];
  folded: FoldedOrder;
}

const IN_ORDER = { order: { seq: 'ASC' as const, id: 'ASC' as const } };

/** The order of an id; refuses when there is none. */
export async function needOrder(view: View, id: string): Promise<KnownOrder> {
  const [order] = await withActs(view, [await view.need(OrderRow, { id }, `order ${id}`)]);
  return order as KnownOrder;
}

/** Orders, newest first, at most `take`, those from the id `after` on left out. */
export async function knownOrders(view: View, take: number, after?: string): Promise<KnownOrder[]> {
  const where = after === undefined ? {} : { id: LessThan(after) };
  return withActs(view, await view.all(OrderRow, where, { order: { id: 'DESC' }, take }));
}

/** Orders of which something may still come, or that may still be sent, made since a local day; oldest first. */
export async function openOrders(view: View, since: string): Promise<KnownOrder[]> {
  const rows = (await (
    await view.ready()
  ).query(
    `SELECT id FROM purchase_order WHERE laboratory_id = $1 AND at >= $2 AND NOT EXISTS (
      SELECT 1 FROM order_act WHERE order_act.order_id = purchase_order.id AND kind IN ('cancelled', 'closed'))`,
    [view.laboratoryId, since],
  )) as { id: string }[];
  const orders = await withActs(view, await view.all(OrderRow, { id: In(rows.map(({ id }) => id)) }));
  return orders.filter(({ folded }) => folded.lines.some(({ open }) => open > 0));
}

async function withActs(view: View, rows: readonly OrderRow[]): Promise<KnownOrder[]> {
  const orderId = In(rows.map(({ id }) => id));
  const acts = await view.all(OrderActRow, { orderId }, IN_ORDER);
  const receipts = await view.all(OrderReceiptRow, { orderId }, IN_ORDER);
  return rows.map((row) => {
    const own = acts.filter((each) => each.orderId === row.id);
    const came = receipts.filter((each) => each.orderId === row.id);
    return { row, acts: own, receipts: came, folded: foldOrder(own, came) };
  });
}

/** More says nothing about how a supplier delivers now. */
const LATEST_DELIVERIES = 20;

/** Days from sending an order to the first delivery of each of its lines, by product, the latest deliveries only. */
export async function observedLeadDays(view: View): Promise<Map<string, number[]>> {
  const rows = (await (await view.ready()).query(DELIVERIES, [view.laboratoryId])) as {
    product: string;
    sent: string;
    came: string;
  }[];
  const found = new Map<string, number[]>();
  for (const { product, sent, came } of rows) {
    found.set(product, [...(found.get(product) ?? []), daysBetween(sent, came)].slice(-LATEST_DELIVERIES));
  }
  return found;
}

const DELIVERIES = `SELECT order_receipt.product_code AS product, MIN(order_act.day) AS sent, MIN(order_receipt.day) AS came
  FROM order_receipt JOIN order_act ON order_act.order_id = order_receipt.order_id AND order_act.kind = 'sent'
  WHERE order_receipt.laboratory_id = $1 AND order_receipt.kind = 'taken in'
  GROUP BY order_receipt.order_id, order_receipt.line, order_receipt.product_code ORDER BY came, sent`;
