import { ApiProperty } from '@nestjs/swagger';
import { IsBoolean, IsEmail, IsIn, IsInt, IsNumber, IsString, Matches, Max, Min } from 'class-validator';
import { FORECAST_CHOICES, type ForecastChoice } from '../core/stock/outlook-facts.js';
import { QuantityDto } from './quantity.dto.js';
import { Id, MayBeAbsent, One, Text } from './shape.js';

/** No price and no limit here is above ten million. */
const MOST_CENTS = 1_000_000_000;

export class NewSupplierDto {
  /** What it is called here: lower-case words joined by hyphens. */
  @Id() code: string;
  @Text(200) name: string;
  /** As on an envelope, one line each. */
  @MayBeAbsent() @Text(500) address?: string;
  @MayBeAbsent() @IsEmail() @Text(200) email?: string;
  /** The number under which it knows this laboratory. */
  @MayBeAbsent() @Text(60) customerNumber?: string;
  /** Whether it was evaluated here and may be bought from. */
  @IsBoolean() approved: boolean;
}

export class SupplierDto {
  code: string;
  name: string;
  address: string | null;
  email: string | null;
  customerNumber: string | null;
  approved: boolean;
  /** When this was written down. */
  at: string;
}

export class NewProductDto {
  /** What it is called here: lower-case words joined by hyphens. */
  @Id() code: string;
  /** Code of its supplier. */
  @Id() supplier: string;
  /** The supplier's number for it. */
  @Text(60) itemNumber: string;
  @Text(200) name: string;
  /** The number on its bar code: 8, 12, 13 or 14 digits. */
  @MayBeAbsent()
  @IsString()
  @Matches(/^(\d{8}|\d{12,14})$/, { message: '$property must be 8, 12, 13 or 14 digits' })
  gtin?: string;
  /** Code of the reagent that it is. */
  @Id() reagent: string;
  /** Containers in a pack. */
  @IsInt() @Min(1) @Max(1000) containers: number;
  /** What each of them holds. */
  @One(() => QuantityDto) amount: QuantityDto;
  /** Of one pack, in hundredths of the laboratory's currency. */
  @IsInt() @Min(0) @Max(MOST_CENTS) priceCents: number;
  /** The fewest packs that the supplier sends. */
  @IsInt() @Min(1) @Max(10_000) minimumPacks: number;
  /** Days from order to arrival, as the supplier states them, and how much they vary (standard deviation). */
  @IsNumber() @Min(0) @Max(365) leadDays: number;
  @IsNumber() @Min(0) @Max(365) leadSdDays: number;
  /** Days of use that are promised to be left on arrival; absent when nothing is promised. */
  @MayBeAbsent() @IsInt() @Min(1) @Max(3650) shelfLifeDays?: number;
  /** False once it is no longer to be bought. */
  @IsBoolean() offered: boolean;
}

export class ProductDto {
  code: string;
  supplier: string;
  itemNumber: string;
  name: string;
  gtin: string | null;
  reagent: string;
  containers: number;
  amount: QuantityDto;
  priceCents: number;
  minimumPacks: number;
  leadDays: number;
  leadSdDays: number;
  shelfLifeDays: number | null;
  offered: boolean;
  at: string;
}

export class NewStockPolicyDto {
  /** Share of order cycles without a stock-out that is aimed at. */
  @IsNumber() @Min(0.5) @Max(0.9999) serviceLevel: number;
  /** Days that an order should last beyond the lead time. */
  @IsNumber() @Min(0) @Max(365) coverDays: number;
  /** Days between two looks at the stock. */
  @IsNumber() @Min(0) @Max(90) reviewDays: number;
  /** Days of acceptance testing before a new lot may be used. */
  @IsNumber() @Min(0) @Max(90) acceptanceDays: number;
  @IsIn(FORECAST_CHOICES) @ApiProperty({ enum: FORECAST_CHOICES }) method: ForecastChoice;
  /** Smoothing weights, above 0 and up to 1. */
  @IsNumber() @Min(0.001) @Max(1) alpha: number;
  @IsNumber() @Min(0.001) @Max(1) beta: number;
  /** Code of the product to buy; the cheapest by content when left out. */
  @MayBeAbsent() @Id() product?: string;
}

export class StockPolicyDto extends NewStockPolicyDto {
  reagent: string;
  at: string;
}

export class NewBuyingDto {
  /** ISO 4217, such as EUR. */
  @IsString()
  @Matches(/^[A-Z]{3}$/, { message: '$property must be three capital letters, such as EUR' })
  currency: string;
  /** An order above this needs the director's signature; in hundredths. */
  @IsInt() @Min(0) @Max(MOST_CENTS) signedAboveCents: number;
  /** Where deliveries go, one line each. */
  @MayBeAbsent() @Text(500) deliverTo?: string;
}

export class BuyingDto {
  currency: string;
  signedAboveCents: number;
  deliverTo: string | null;
}
