import { counted } from '../../core/counted.js';
import { Injectable } from '@nestjs/common';
import type { NewReceiptDto, NewRefusalDto, OrderDto } from '../../contract/orders.dto.js';
import { quantityOf, USUAL_UNIT } from '../../core/ledger/amount.js';
import { Refusal } from '../../core/refusal.js';
import { checkOrderAct, oddities, type OrderedLine, type ReceiptOddity } from '../../core/stock/order.js';
import { daysBetween } from '../../core/time/days.js';
import { plusMs } from '../../core/time/instant.js';
import { endOfPrinted, localDay } from '../../core/time/zone.js';
import { receiveLot } from '../../store/acts/receive-lot.js';
import { productsOf, supplierOf } from '../../store/questions/buying.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { type KnownOrder, needOrder } from '../../store/questions/orders.js';
import { reagentsOf } from '../../store/questions/reagents.js';
import { OrderReceiptRow, type ProductRow } from '../../store/rows/orders.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import { type Acting, onceOf } from '../http/access.js';
import { orderView } from './views.js';

/** What comes on orders. */
@Injectable()
export class ReceiptsService {
  constructor(private readonly store: Store) {}

  /** Takes containers of a line into stock as one lot, quarantined; what is odd about them needs a reason. */
  async receive(acting: Acting, id: string, body: NewReceiptDto, key?: string): Promise<OrderDto> {
    const write = async (unit: Unit): Promise<null> => {
      const { order, line, product } = await receivable(unit, id, body);
      const { zone } = await needLaboratory(unit);
      const day = localDay(unit.at, zone);
      const { number, expiry, expirySetHere, containers, place, reason } = body;
      refuseOdd(
        oddities(line, {
          containers: containers.length,
          productCode: product.code,
          daysLeft: expiry === undefined ? null : daysBetween(day, lastDayOf(expiry, zone)),
          promisedDays: product.shelfLifeDays,
        }),
        { line, product, reason },
      );
      const supplier = await supplierOf(unit, order.row.supplierCode);
      const amount = quantityOf(product.containerMicro, product.unit);
      const lot = await receiveLot(unit, {
        reagent: product.reagentCode,
        number,
        ...(product.gtin !== null && { gtin: product.gtin }),
        source: supplier?.name ?? order.row.supplierCode,
        ...(expiry !== undefined && { expiry }),
        ...(expirySetHere !== undefined && { expirySetHere }),
        productCode: product.code,
        orderId: id,
        priceCents: Math.round(product.priceCents / product.packContainers),
        ...(place !== undefined && { place }),
        containers: containers.map((each) => ({ ...each, size: `${amount.value} ${amount.unit}`, amount })),
      });
      const receipt = await unit.insert(OrderReceiptRow, {
        orderId: id,
        line: body.line,
        kind: 'taken in',
        at: unit.at,
        day,
        personId: unit.personId,
        productCode: product.code,
        containers: containers.length,
        lotNumber: number,
        expiry: expiry ?? null,
        lotId: lot.id,
        reason: reason ?? null,
      });
      unit.about('order', id, { number: order.row.number, receipt: receipt.id, lot: lot.id });
      return null;
    };
    await this.store.change(acting, 'order.received', write, onceOf(key, { id, ...body }));
    return this.order(acting, id);
  }

  /** Keeps that a delivery was sent back, and why; the line stays open. */
  async refuse(acting: Acting, id: string, body: NewRefusalDto, key?: string): Promise<OrderDto> {
    const write = async (unit: Unit): Promise<null> => {
      const { order, product } = await receivable(unit, id, body);
      const { zone } = await needLaboratory(unit);
      if (body.expiry !== undefined) endOfPrinted(body.expiry, zone);
      const { id: receipt } = await unit.insert(OrderReceiptRow, {
        orderId: id,
        line: body.line,
        kind: 'refused',
        at: unit.at,
        day: localDay(unit.at, zone),
        personId: unit.personId,
        productCode: product.code,
        containers: body.containers,
        lotNumber: body.number,
        expiry: body.expiry ?? null,
        reason: body.reason,
      });
      unit.about('order', id, { number: order.row.number, refused: receipt });
      return null;
    };
    await this.store.change(acting, 'order.delivery-refused', write, onceOf(key, { id, ...body }));
    return this.order(acting, id);
  }

  private order({ laboratoryId }: Acting, id: string): Promise<OrderDto> {
    return this.store.read(laboratoryId, async (view) => orderView(view, await needOrder(view, id)));
  }
}

/** What came: the line as it was ordered, or a substitute as it is listed now. */
type Came = Pick<
  ProductRow,
  'code' | 'name' | 'reagentCode' | 'gtin' | 'packContainers' | 'containerMicro' | 'priceCents' | 'shelfLifeDays'
> & { unit: string };

async function receivable(
  unit: Unit,
  id: string,
  asked: Pick<NewReceiptDto, 'line' | 'product'>,
): Promise<{ order: KnownOrder; line: OrderedLine; product: Came }> {
  const order = await needOrder(unit, id);
  checkOrderAct('received', order.row.number, order.folded.state);
  const line = order.folded.lines[asked.line];
  if (!line) {
    const message = `Order ${order.row.number} has the lines 0 to ${order.folded.lines.length - 1}; there is no line ${asked.line}.`;
    throw refused('no-such-line', 'line', message);
  }
  const code = asked.product ?? line.productCode;
  const [listed] = await productsOf(unit, [code]);
  if (!listed) throw refused('unknown-product', 'product', `"${code}" is no product here; write it down first.`);
  const reagents = await reagentsOf(unit, [line.reagentCode, listed.reagentCode]);
  const instead = reagents.find((each) => each.code === line.reagentCode)?.acceptedInstead ?? [];
  if (listed.reagentCode !== line.reagentCode && !instead.includes(listed.reagentCode)) {
    const message = `${listed.name} is ${listed.reagentCode}, which cannot stand in for ${line.reagentCode}; refuse the delivery, or receive it as what it is.`;
    throw refused('other-reagent', 'product', message);
  }
  const declared = reagents.find((each) => each.code === listed.reagentCode)?.unit ?? USUAL_UNIT;
  // What was ordered counts as it stood on the order, whatever the list says since.
  const ordered = code === line.productCode ? line : listed;
  const { name, reagentCode, gtin, packContainers, containerMicro, priceCents } = ordered;
  const { shelfLifeDays } = listed;
  const came = { code, name, reagentCode, gtin, packContainers, containerMicro, priceCents, shelfLifeDays };
  return { order, line, product: { ...came, unit: declared } };
}

function lastDayOf(expiry: string, zone: string): string {
  return localDay(plusMs(endOfPrinted(expiry, zone), -1), zone);
}

function refuseOdd(
  odd: readonly ReceiptOddity[],
  { line, product, reason }: { line: OrderedLine; product: Came; reason: string | undefined },
): void {
  const [first] = odd;
  if (first === undefined || reason !== undefined) return;
  const said: Record<ReceiptOddity, string> = {
    substitute: `${line.name} was ordered, and ${product.name} came`,
    'short-dated': `Fewer days of use are left than the ${product.shelfLifeDays} that the supplier promises`,
    'over-delivery': `Only ${counted(line.open, 'container is', 'containers are')} still to come, and more came`,
  };
  const message = `${odd.map((each) => said[each]).join('. ')}. Give a reason to take it in, or refuse the delivery.`;
  throw new Refusal('conflict', first, message, [{ at: 'reason', message: 'say why it is taken in all the same' }], {
    oddities: [...odd],
  });
}

function refused(code: string, at: string, message: string): Refusal {
  return new Refusal('invalid', code, message, [{ at, message }]);
}
