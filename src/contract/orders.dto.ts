import { ApiProperty } from '@nestjs/swagger';
import { ArrayMaxSize, ArrayMinSize, IsBoolean, IsIn, IsInt, IsString, Matches, Max, Min } from 'class-validator';
import {
  ORDER_ACT_KINDS,
  ORDER_STATES,
  type OrderActKind,
  type OrderState,
  RECEIPT_KINDS,
  type ReceiptKind,
  SENDING_WAYS,
  type SendingWay,
} from '../core/stock/order.js';
import { ListDto } from './list.dto.js';
import { SignatureDto } from './run-view.dto.js';
import { QuantityDto } from './quantity.dto.js';
import { Id, Many, MayBeAbsent, Text } from './shape.js';

const DAY = /^\d{4}-\d\d-\d\d$/;

export class WantedLineDto {
  /** Code of the product. */
  @Id() product: string;
  @IsInt() @Min(1) @Max(10_000) packs: number;
}

export class NewOrderDto {
  /** Code of the supplier. */
  @Id() supplier: string;
  @Many(() => WantedLineDto, 200) @ArrayMinSize(1) lines: WantedLineDto[];
  /** The day by which it is wanted. */
  @MayBeAbsent() @IsString() @Matches(DAY, { message: '$property must be a day such as 2026-12-09' }) wantedBy?: string;
}

export class EditedOrderDto {
  /** The version that was looked at. */
  @IsInt() @Min(1) @Max(1_000_000) seen: number;
  @Many(() => WantedLineDto, 200) @ArrayMinSize(1) lines: WantedLineDto[];
  @MayBeAbsent() @IsString() @Matches(DAY, { message: '$property must be a day such as 2026-12-09' }) wantedBy?: string;
}

export class OrderApprovalDto {
  @IsInt() @Min(1) @Max(1_000_000) seen: number;
  /** The signer's password; needed above the laboratory's limit. */
  @MayBeAbsent() @Text(256) password?: string;
}

export class OrderSentDto {
  @IsIn(SENDING_WAYS) how: SendingWay;
  @MayBeAbsent() @Text(500) note?: string;
}

export class OrderEndDto {
  @Text(500) reason: string;
}

export class ReceivedContainerDto {
  /** Text of our own label on it, when it carries one already. */
  @MayBeAbsent() @Text(60) label?: string;
  /** The maker's serial number. */
  @MayBeAbsent() @Text(40) serial?: string;
}

export class NewReceiptDto {
  /** Number of the order's line, from 0. */
  @IsInt() @Min(0) @Max(199) line: number;
  /** Code of the product that came, when it is another than was ordered. */
  @MayBeAbsent() @Id() product?: string;
  /** The lot number as printed. */
  @Text(40) number: string;
  /** As printed, or as set here for a product without one. */
  @MayBeAbsent() @Text(30) expiry?: string;
  @MayBeAbsent() @IsBoolean() expirySetHere?: boolean;
  @Many(() => ReceivedContainerDto, 200) @ArrayMinSize(1) @ArrayMaxSize(200) containers: ReceivedContainerDto[];
  /** Code of the storage place that they were put into. */
  @MayBeAbsent() @Text(64) place?: string;
  /** Why what is odd about it is taken: another product, fewer days of use than promised, more than is still to come. */
  @MayBeAbsent() @Text(500) reason?: string;
}

export class NewRefusalDto {
  @IsInt() @Min(0) @Max(199) line: number;
  @MayBeAbsent() @Id() product?: string;
  @Text(40) number: string;
  @MayBeAbsent() @Text(30) expiry?: string;
  /** How many containers were sent back. */
  @IsInt() @Min(1) @Max(10_000) containers: number;
  @Text(500) reason: string;
}

export class OrderQueryDto extends ListDto {}

export class OrderLineDto {
  product: string;
  reagent: string;
  name: string;
  itemNumber: string;
  gtin: string | null;
  packs: number;
  /** Containers in a pack, and what each holds. */
  packContainers: number;
  amount: QuantityDto;
  /** Of one pack. */
  priceCents: number;
  /** Containers ordered, taken in, and still to come. */
  ordered: number;
  received: number;
  open: number;
}

export class OrderActDto {
  @ApiProperty({ enum: ORDER_ACT_KINDS }) kind: OrderActKind;
  at: string;
  personId: string;
  person: string | null;
  @ApiProperty({ enum: SENDING_WAYS, required: false }) how?: SendingWay;
  note?: string;
  signature?: SignatureDto;
}

export class OrderReceiptDto {
  id: string;
  line: number;
  @ApiProperty({ enum: RECEIPT_KINDS }) kind: ReceiptKind;
  at: string;
  person: string | null;
  product: string;
  containers: number;
  /** The lot number as printed. */
  number: string;
  expiry: string | null;
  lotId: string | null;
  reason: string | null;
}

export class OrderSummaryDto {
  id: string;
  number: string;
  supplier: string;
  supplierName: string;
  at: string;
  @ApiProperty({ enum: ORDER_STATES }) state: OrderState;
  currency: string;
  totalCents: number;
  lineCount: number;
  wantedBy: string | null;
}

export class OrderDto extends OrderSummaryDto {
  /** What an edit or an approval has to name, so that nobody decides on what they have not seen. */
  version: number;
  lines: OrderLineDto[];
  acts: OrderActDto[];
  receipts: OrderReceiptDto[];
  /** Above this the director signs. */
  signedAboveCents: number;
}

export class OrderListDto {
  items: OrderSummaryDto[];
  /** What to ask `after` for more; null at the end. */
  next: string | null;
}
