import { counted } from '../../core/counted.js';
import { Injectable } from '@nestjs/common';
import type {
  EditedOrderDto,
  NewOrderDto,
  OrderApprovalDto,
  OrderDto,
  OrderEndDto,
  OrderListDto,
  OrderQueryDto,
  OrderSentDto,
  WantedLineDto,
} from '../../contract/orders.dto.js';
import { signatureOf } from '../../core/record/signature.js';
import { Refusal } from '../../core/refusal.js';
import {
  checkOrderAct,
  checkSeen,
  type OrderActData,
  type OrderActKind,
  type OrderLine,
} from '../../core/stock/order.js';
import { daysBetween } from '../../core/time/days.js';
import { localDay } from '../../core/time/zone.js';
import { buyingOf, productsOf, supplierOf } from '../../store/questions/buying.js';
import { needLaboratory } from '../../store/questions/laboratories.js';
import { type KnownOrder, knownOrders, needOrder } from '../../store/questions/orders.js';
import { OrderActRow, OrderRow, type SupplierRow } from '../../store/rows/orders.entity.js';
import { Store } from '../../store/store.js';
import type { Unit } from '../../store/unit.js';
import { type Acting, onceOf } from '../http/access.js';
import { Signing } from '../http/signing.js';
import { orderSummaries, orderView } from './views.js';

/** Orders from their draft to their end. */
@Injectable()
export class OrdersService {
  constructor(
    private readonly store: Store,
    private readonly signing: Signing,
  ) {}

  list({ laboratoryId }: Acting, { take, after }: OrderQueryDto): Promise<OrderListDto> {
    return this.store.read(laboratoryId, async (view) => {
      const items = await orderSummaries(view, await knownOrders(view, take, after));
      return { items, next: items.length === take ? (items.at(-1)?.id ?? null) : null };
    });
  }

  order({ laboratoryId }: Acting, id: string): Promise<OrderDto> {
    return this.store.read(laboratoryId, async (view) => orderView(view, await needOrder(view, id)));
  }

  /** Drafts an order, from what was proposed or by hand. */
  async draft(acting: Acting, body: NewOrderDto, key?: string): Promise<OrderDto> {
    const write = async (unit: Unit): Promise<string> => {
      const supplier = await needSupplier(unit, body.supplier);
      const lines = await linesOf(unit, supplier, body.lines);
      const { at, personId } = unit;
      const number = await nextNumber(unit);
      const { id } = await unit.insert(OrderRow, { number, supplierCode: supplier.code, at, personId });
      await addAct(unit, id, 'drafted', { lines, ...(await wanted(unit, body.wantedBy)) });
      unit.about('order', id, { number, supplier: supplier.code, lines: body.lines.map((line) => ({ ...line })) });
      return id;
    };
    return this.order(acting, await this.store.change(acting, 'order.drafted', write, onceOf(key, body)));
  }

  /** Writes the lines of a draft anew. */
  edit(acting: Acting, id: string, body: EditedOrderDto, key?: string): Promise<OrderDto> {
    return this.act(acting, id, { act: 'edited', as: 'drafted', request: body, key }, async (unit, order) => {
      checkSeen(order.row.number, body.seen, order.acts.length);
      const supplier = await needSupplier(unit, order.row.supplierCode);
      const lines = await linesOf(unit, supplier, body.lines);
      return { lines, ...(await wanted(unit, body.wantedBy)) };
    });
  }

  /** Approves a draft as it was seen; above the laboratory's limit only by the director's signature. */
  async approve(acting: Acting, id: string, { seen, password }: OrderApprovalDto, key?: string): Promise<OrderDto> {
    const signer = password === undefined ? null : await this.signing.confirm(acting, password);
    return this.act(acting, id, { act: 'approved', as: 'approved', request: { seen }, key }, async (unit, order) => {
      const { row, folded } = order;
      checkSeen(row.number, seen, order.acts.length);
      const supplier = await needSupplier(unit, row.supplierCode);
      if (!supplier.approved) {
        const message = `${supplier.name} is not approved as a supplier; evaluate it first, or order elsewhere.`;
        throw new Refusal('conflict', 'supplier-not-approved', message);
      }
      const { currency, signedAboveCents } = await buyingOf(unit);
      const { lines, totalCents } = folded;
      if (totalCents > signedAboveCents) {
        const sums = `${money(totalCents, currency)} is above ${money(signedAboveCents, currency)}`;
        if (!acting.roles.includes('director')) {
          throw new Refusal('forbidden', 'director-needed', `${sums}; the director signs this order.`);
        }
        if (!signer) {
          throw new Refusal('forbidden', 'signature-needed', `${sums}; give your password to sign this order.`);
        }
      }
      const approved = { currency, totalCents };
      if (!signer) return approved;
      const record = {
        order: id,
        number: row.number,
        supplier: supplier.code,
        lines: lines.map(asOrdered),
        ...approved,
      };
      return { ...approved, signature: signatureOf(signer, 'approval', record, unit.at) };
    });
  }

  /** Says that an order went to the supplier, and how. */
  sent(acting: Acting, id: string, body: OrderSentDto, key?: string): Promise<OrderDto> {
    const { how, note } = body;
    return this.act(acting, id, { act: 'sent', as: 'sent', request: body, key }, async () => ({
      how,
      ...(note !== undefined && { note }),
    }));
  }

  /** Cancels an order of which nothing came. */
  cancel(acting: Acting, id: string, body: OrderEndDto, key?: string): Promise<OrderDto> {
    const intent = { act: 'cancelled', as: 'cancelled', request: body, key } as const;
    return this.act(acting, id, intent, async () => ({ note: body.reason }));
  }

  /** Closes an order of which the rest will not come. */
  close(acting: Acting, id: string, body: OrderEndDto, key?: string): Promise<OrderDto> {
    const intent = { act: 'closed', as: 'closed', request: body, key } as const;
    return this.act(acting, id, intent, async () => ({ note: body.reason }));
  }

  private async act(
    acting: Acting,
    id: string,
    { act, as, request, key }: Intent,
    dataOf: (unit: Unit, order: KnownOrder) => Promise<OrderActData>,
  ): Promise<OrderDto> {
    const write = async (unit: Unit): Promise<null> => {
      const order = await needOrder(unit, id);
      checkOrderAct(act, order.row.number, order.folded.state);
      await addAct(unit, id, as, await dataOf(unit, order));
      unit.about('order', id, { number: order.row.number });
      return null;
    };
    await this.store.change(acting, `order.${act}`, write, onceOf(key, { id, ...request }));
    return this.order(acting, id);
  }
}

interface Intent {
  act: Parameters<typeof checkOrderAct>[0];
  as: OrderActKind;
  request: object;
  key: string | undefined;
}

async function addAct(unit: Unit, orderId: string, kind: OrderActKind, data: OrderActData): Promise<void> {
  const { zone } = await needLaboratory(unit);
  const { at, personId } = unit;
  await unit.insert(OrderActRow, { orderId, kind, at, day: localDay(at, zone), personId, data });
}

/** Numbers run through, however the year changes; the year in front is for people. */
async function nextNumber(unit: Unit): Promise<string> {
  const { zone } = await needLaboratory(unit);
  const count = await unit.count(OrderRow);
  return `${localDay(unit.at, zone).slice(0, 4)}-${String(count + 1).padStart(4, '0')}`;
}

async function needSupplier(unit: Unit, code: string): Promise<SupplierRow> {
  const found = await supplierOf(unit, code);
  if (found) return found;
  throw refused('unknown-supplier', 'supplier', `"${code}" is no supplier here; write it down first.`);
}

/** The lines as the products stand now. */
async function linesOf(unit: Unit, supplier: SupplierRow, wantedLines: readonly WantedLineDto[]): Promise<OrderLine[]> {
  const known = await productsOf(
    unit,
    wantedLines.map(({ product }) => product),
  );
  return wantedLines.map(({ product: code, packs }, index) => {
    const at = `lines.${index}`;
    const product = known.find((each) => each.code === code);
    if (!product)
      throw refused('unknown-product', `${at}.product`, `"${code}" is no product here; write it down first.`);
    if (product.supplierCode !== supplier.code) {
      const message = `${product.name} comes from ${product.supplierCode}, not from ${supplier.code}; put it on an order of its own.`;
      throw refused('other-supplier', `${at}.product`, message);
    }
    if (wantedLines.findIndex((line) => line.product === code) < index) {
      throw refused(
        'product-twice',
        `${at}.product`,
        `${product.name} stands on this order twice; give one line with all packs.`,
      );
    }
    if (!product.offered) {
      throw refused(
        'not-offered',
        `${at}.product`,
        `${product.name} is no longer to be bought; choose another product.`,
      );
    }
    if (packs < product.minimumPacks) {
      const message = `${supplier.name} sends at least ${counted(product.minimumPacks, 'pack')} of ${product.name}; ${packs} asked.`;
      throw refused('below-minimum', `${at}.packs`, message);
    }
    const { reagentCode, name, itemNumber, gtin, packContainers, containerMicro, priceCents } = product;
    return {
      productCode: code,
      reagentCode,
      name,
      itemNumber,
      gtin,
      packs,
      packContainers,
      containerMicro,
      priceCents,
    };
  });
}

async function wanted(unit: Unit, wantedBy: string | undefined): Promise<Pick<OrderActData, 'wantedBy'>> {
  if (wantedBy === undefined) return {};
  const { zone } = await needLaboratory(unit);
  if (daysBetween(localDay(unit.at, zone), wantedBy) < 0) {
    throw refused('past-day', 'wantedBy', `${wantedBy} is over; give today or a later day.`);
  }
  return { wantedBy };
}

function asOrdered({ productCode, itemNumber, packs, priceCents }: OrderLine) {
  return { product: productCode, itemNumber, packs, priceCents };
}

function money(cents: number, currency: string): string {
  return `${(cents / 100).toFixed(2)} ${currency}`;
}

function refused(code: string, at: string, message: string): Refusal {
  return new Refusal('invalid', code, message, [{ at, message }]);
}
