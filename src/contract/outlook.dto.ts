import { ApiProperty } from '@nestjs/swagger';
import type { DemandClass } from '../core/stock/demand.js';
import { FIGURES, type FigureName, type Pressing } from '../core/stock/outlook.js';
import { FORECAST_METHODS, type ForecastMethod } from '../core/stock/outlook-facts.js';

const CLASSES = ['smooth', 'erratic', 'intermittent', 'lumpy'] as const;
const PRESSING = ['late', 'today', 'this week', 'later', 'idle'] as const;

/** What becomes of one reagent; quantities are in its declared unit. */
export class OutlookLineDto {
  /** Code of the reagent. */
  reagent: string;
  name: string;
  /** UCUM unit of all quantities. */
  unit: string;
  @ApiProperty({ enum: CLASSES, nullable: true, type: String }) class: DemandClass | null;
  @ApiProperty({ enum: FORECAST_METHODS }) method: ForecastMethod;
  @ApiProperty({ enum: PRESSING }) pressing: Pressing;
  /** First local day on which demand is not met, at the mean forecast; null when that is not within a year. */
  runsOutOn: string | null;
  /** Last local day on which an order is in time, acceptance testing included. */
  orderBy: string | null;
  perDay: number;
  onShelf: number;
  /** What of it waits for acceptance or a decision, and may not be used until then. */
  waiting: number;
  coming: number;
  inDrafts: number;
  reorderPoint: number;
  /** What to order now; 0 when nothing is, null when nothing can be bought. */
  quantity: number | null;
  packs: number | null;
  cappedByExpiry: boolean;
  /** What of the order will expire unused at the mean forecast. */
  waste: number | null;
  /** Code of the product that would be bought. */
  product: string | null;
  supplier: string | null;
  priceCents: number | null;
  /** True for what is made here. */
  madeHere: boolean;
}

export class OutlookListDto {
  /** The laboratory's local day. */
  today: string;
  lines: OutlookLineDto[];
}

export class OutlookFigureDto {
  @ApiProperty({ enum: FIGURES }) name: FigureName;
  value: number | null;
}

export class CourseDayDto {
  day: string;
  stock: number;
  low: number;
  high: number;
}

export class ExpiringDto {
  /** Label of the container, or number of the order. */
  name: string;
  /** Its last day of use. */
  day: string;
  quantity: number;
}

export class ComingDto {
  /** Number of the order and of its line. */
  name: string;
  arrives: string;
  quantity: number;
}

/** How the last four weeks were forecast before they came. */
export class LookBackDto {
  /** Mean absolute error of a day. */
  mae: number;
  /** The same against the usual step from day to day; below 1 is better than taking yesterday for tomorrow. */
  mase: number | null;
}

/** Other ways to look at the size of the order. */
export class OrderSizeDto {
  /** The most of which nothing more expires than without it, first expired first out. */
  capFefo: number | null;
  /** The most that is used up before it expires in nine of ten cases. */
  capAtRisk: number | null;
  /** What of the order expires on average when use varies as it did. */
  wasteOnAverage: number | null;
  /** Share of the demand met from stock at this reorder point and order. */
  fillRate: number | null;
  /** The reorder point that would meet the service level as a share of the demand instead. */
  reorderPointForFill: number | null;
}

export class OutlookDto extends OutlookLineDto {
  today: string;
  /** Whether the lead time was learnt from received orders. */
  leadLearnt: boolean;
  /** Whether the safety stock counts usual takings rather than following the normal distribution. */
  byCount: boolean;
  /** The whole arithmetic, in its order. */
  figures: OutlookFigureDto[];
  lookBack: LookBackDto | null;
  size: OrderSizeDto;
  course: CourseDayDto[];
  expiring: ExpiringDto[];
  onWay: ComingDto[];
}

export class ProposalDto extends OutlookLineDto {
  productName: string;
  itemNumber: string;
  totalCents: number;
}

export class SupplierProposalsDto {
  supplier: string;
  name: string;
  totalCents: number;
  proposals: ProposalDto[];
}

export class ReorderDto {
  today: string;
  currency: string;
  suppliers: SupplierProposalsDto[];
  /** Codes of reagents that run out and of which no product can be bought. */
  withoutProduct: string[];
}
