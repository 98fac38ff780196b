import type { Instant } from '../time/instant.js';

/** What a part of a container is worth by its price. */
export interface Priced {
  /** Millionths that are valued. */
  micro: number;
  /** Millionths that the whole container held when it came; null when nobody said. */
  full: number | null;
  /** What the whole container cost, in hundredths of the currency; null when nobody said. */
  priceCents: number | null;
}

/**
 * The value of a part of a container in hundredths, in proportion to what it held when it came; null without a price or
 * without its full amount. 25 mL left of 100 mL that cost 80.00 are `2000`.
 */
export function valueCents({ micro, full, priceCents }: Priced): number | null {
  if (priceCents === null || full === null || full <= 0) return null;
  return Math.round((priceCents * micro) / full);
}

/** Stock that served nobody: discarded, or left in a container past its end. */
export interface Unserved extends Priced {
  reagent: string;
  /** Month of the act, or of the end of its use, in the laboratory's zone: '2026-11'. */
  month: string;
  how: 'discarded' | 'expired';
}

/** What one reagent lost in one month. */
export interface MonthOfWaste {
  month: string;
  reagent: string;
  /** Millionths thrown away. */
  discarded: number;
  /** Millionths past their end and still on the shelf; once discarded they count there. */
  expired: number;
  /** What both cost; parts without a price are left out and counted. */
  cents: number;
  unpriced: number;
}

/** Waste by month and reagent, the latest month first, then the dearest reagent. */
export function wasteByMonth(parts: readonly Unserved[]): MonthOfWaste[] {
  const months = new Map<string, MonthOfWaste>();
  for (const part of parts) {
    const { month, reagent, how, micro } = part;
    const key = `${month} ${reagent}`;
    const sum = months.get(key) ?? { month, reagent, discarded: 0, expired: 0, cents: 0, unpriced: 0 };
    const cents = valueCents(part);
    months.set(key, {
      ...sum,
      [how]: sum[how] + micro,
      cents: sum.cents + (cents ?? 0),
      unpriced: sum.unpriced + (cents === null ? 1 : 0),
    });
  }
  return [...months.values()].sort(
    (a, b) => compared(b.month, a.month) || b.cents - a.cents || compared(a.reagent, b.reagent),
  );
}

/** Whether a container is past the end of its use at an instant; its end itself is past. */
export function isOver(usableUntil: Instant | null, at: Instant): usableUntil is Instant {
  return usableUntil !== null && usableUntil <= at;
}

function compared(a: string, b: string): number {
  if (a === b) return 0;
  return a < b ? -1 : 1;
}
