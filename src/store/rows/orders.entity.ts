import { Column, Entity, ForeignKey, Index } from 'typeorm';
import type { OrderActData, OrderActKind, ReceiptKind } from '../../core/stock/order.js';
import type { ForecastChoice } from '../../core/stock/outlook-facts.js';
import type { Instant } from '../../core/time/instant.js';
import { FactRow } from './fact.js';
import { LotRow } from './stock.entity.js';

/** A supplier as it stood when written down; the latest of a code counts. */
@Entity('supplier')
@Index('supplier_code', ['laboratoryId', 'code'])
export class SupplierRow extends FactRow {
  @Column('text')
  code: string;

  @Column('text')
  name: string;

  /** As on an envelope, one line each. */
  @Column('text', { nullable: true })
  address: string | null;

  @Column('text', { nullable: true })
  email: string | null;

  /** The number under which the supplier knows this laboratory. */
  @Column('text', { nullable: true })
  customerNumber: string | null;

  /** Whether the laboratory has evaluated it and buys from it. */
  @Column('boolean')
  approved: boolean;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;
}

/** What a supplier sells, as it stood when written down; the latest of a code counts. */
@Entity('product')
@Index('product_code', ['laboratoryId', 'code'])
export class ProductRow extends FactRow {
  @Column('text')
  code: string;

  @Column('text')
  supplierCode: string;

  /** The supplier's number for it. */
  @Column('text')
  itemNumber: string;

  @Column('text')
  name: string;

  @Column('text', { nullable: true })
  gtin: string | null;

  @Column('text')
  reagentCode: string;

  /** How many containers make a pack. */
  @Column('integer')
  packContainers: number;

  /** What each of them holds, in millionths of the reagent's declared unit. */
  @Column('double precision')
  containerMicro: number;

  /** Of one pack, in hundredths of the laboratory's currency. */
  @Column('integer')
  priceCents: number;

  /** The fewest packs that the supplier sends. */
  @Column('integer')
  minimumPacks: number;

  /** Days from sending an order to its arrival, as the supplier states them. */
  @Column('double precision')
  leadDays: number;

  @Column('double precision')
  leadSdDays: number;

  /** Days of use that the supplier promises to be left on arrival; null when it does not expire or nothing is promised. */
  @Column('integer', { nullable: true })
  shelfLifeDays: number | null;

  /** False once it is no longer to be bought. */
  @Column('boolean')
  offered: boolean;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;
}

/** How a reagent is kept in stock; the latest of a reagent counts. */
@Entity('stock_policy')
@Index('stock_policy_reagent', ['laboratoryId', 'reagentCode'])
export class StockPolicyRow extends FactRow {
  @Column('text')
  reagentCode: string;

  /** Share of order cycles without a stock-out that is aimed at. */
  @Column('double precision')
  serviceLevel: number;

  @Column('double precision')
  coverDays: number;

  @Column('double precision')
  reviewDays: number;

  @Column('double precision')
  acceptanceDays: number;

  @Column('text')
  method: ForecastChoice;

  @Column('double precision')
  alpha: number;

  @Column('double precision')
  beta: number;

  /** The product to buy; null for the cheapest by content. */
  @Column('text', { nullable: true })
  productCode: string | null;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;
}

/** How this laboratory buys; the latest counts. */
@Entity('buying')
export class BuyingRow extends FactRow {
  /** ISO 4217, such as 'EUR'. */
  @Column('text')
  currency: string;

  /** An order above this needs the director's signature; in hundredths. */
  @Column('integer')
  signedAboveCents: number;

  /** Where deliveries go, one line each. */
  @Column('text', { nullable: true })
  deliverTo: string | null;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;
}

/** An order from its draft on. What it asks for and where it stands is folded from its acts and receipts. */
@Entity('purchase_order')
@Index('purchase_order_number', ['laboratoryId', 'number'], { unique: true })
export class OrderRow extends FactRow {
  @Column('text')
  number: string;

  @Column('text')
  supplierCode: string;

  @Column('text')
  at: Instant;

  @Column('text')
  personId: string;
}

/** What a person did with an order: wrote its lines, approved, sent, cancelled or closed it. */
@Entity('order_act')
@Index('order_act_order', ['orderId'])
export class OrderActRow extends FactRow {
  @ForeignKey(() => OrderRow, { name: 'order_act_of' })
  @Column('text')
  orderId: string;

  @Column('text')
  kind: OrderActKind;

  @Column('text')
  at: Instant;

  /** The local day of it. */
  @Column('text')
  day: string;

  @Column('text')
  personId: string;

  @Column('simple-json')
  data: OrderActData;
}

/** Containers that came on an order: taken in as a lot, or refused. */
@Entity('order_receipt')
@Index('order_receipt_order', ['orderId'])
@Index('order_receipt_product', ['laboratoryId', 'productCode'])
export class OrderReceiptRow extends FactRow {
  @ForeignKey(() => OrderRow, { name: 'order_receipt_of' })
  @Column('text')
  orderId: string;

  /** The line that it answers. */
  @Column('integer')
  line: number;

  @Column('text')
  kind: ReceiptKind;

  @Column('text')
  at: Instant;

  @Column('text')
  day: string;

  @Column('text')
  personId: string;

  /** The product that came, which may be another than was ordered. */
  @Column('text')
  productCode: string;

  @Column('integer')
  containers: number;

  /** As printed on the label. */
  @Column('text')
  lotNumber: string;

  @Column('text', { nullable: true })
  expiry: string | null;

  /** The lot that it became; null when it was refused. */
  @ForeignKey(() => LotRow, { name: 'order_receipt_lot' })
  @Column('text', { nullable: true })
  lotId: string | null;

  /** Why another product, a short-dated one or more than was ordered was taken, or why it was refused. */
  @Column('text', { nullable: true })
  reason: string | null;
}
