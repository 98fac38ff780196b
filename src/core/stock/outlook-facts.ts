import type { History, Spread } from './demand.js';

/** How demand can be forecast: by exponential smoothing, by methods for demand that comes now and then, or by weekdays. */
export const FORECAST_METHODS = ['ses', 'croston', 'sba', 'tsb', 'weekdays'] as const;
export type ForecastMethod = (typeof FORECAST_METHODS)[number];

export const FORECAST_CHOICES = ['auto', ...FORECAST_METHODS] as const;
/** 'auto' takes the method that fits the class of the demand. */
export type ForecastChoice = (typeof FORECAST_CHOICES)[number];

/** How a reagent is kept in stock. */
export interface StockPolicy {
  /** Share of order cycles without a stock-out that is aimed at. */
  serviceLevel: number;
  /** Days that an order should last beyond the lead time. */
  coverDays: number;
  /** Days between two looks at the stock. */
  reviewDays: number;
  /** Days of acceptance testing before a new lot may be used. */
  acceptanceDays: number;
  method: ForecastChoice;
  /** Smoothing weight of the level, and of what else the method smooths. */
  alpha: number;
  beta: number;
}

/** What counts where a laboratory has set nothing: common practice, no source. */
export const USUAL_POLICY: StockPolicy = {
  serviceLevel: 0.95,
  coverDays: 28,
  reviewDays: 1,
  acceptanceDays: 2,
  method: 'auto',
  alpha: 0.1,
  beta: 0.05,
};

/** Stock of one container or one delivery, in the reagent's declared unit. */
export interface OutlookStock {
  /** What tells it from others: the label of a container, the number of an order. */
  name: string;
  quantity: number;
  /** Last local day of use; null when nothing limits it. */
  lastDay: string | null;
}

/** Stock that is here. */
export interface ShelfStock extends OutlookStock {
  /** Accepted and free of holds; what is not is expected to be after the days of acceptance testing. */
  usable: boolean;
}

/** Stock that was ordered and has not come. */
export interface ComingStock extends OutlookStock {
  /** Local day on which it is expected. */
  arrives: string;
}

/** What can be bought of a reagent, in its declared unit. */
export interface OutlookProduct {
  /** What a pack holds. */
  packSize: number;
  minimumOrder: number;
  /** Days from order to arrival, as the supplier states them. */
  leadTimeDays: Spread;
  /** Days of use left when it arrives; null when it does not expire. */
  shelfLifeDaysOnArrival: number | null;
}

/** Everything that the outlook of one reagent rests on. */
export interface OutlookFacts {
  /** Demand of each local day, earliest first, up to yesterday; today is not over. */
  history: History;
  shelf: ShelfStock[];
  coming: ComingStock[];
  /** What drafts of orders ask for. */
  inDrafts: number;
  policy: StockPolicy;
  /** Null when it is not bought: prepared here, or no product is known. */
  product: OutlookProduct | null;
  /** Days that earlier orders of the product took. */
  observedLeadDays: number[];
}
