import { Refusal } from '../refusal.js';

/** Demand of equal periods, earliest first: use without expired waste, or waste feeds itself. */
export type History = number[];

export type DemandClass = 'smooth' | 'erratic' | 'intermittent' | 'lumpy';

export interface DemandPattern {
  /** Periods for one period with demand; null when there never was any. */
  adi: number | null;
  /** Squared coefficient of variation of the demands that were above 0; 0 for a single one, null for none. */
  cv2: number | null;
  class: DemandClass | null;
}

const ADI_LIMIT = 1.32;
const CV2_LIMIT = 0.49;

/**
 * How regular a demand is: smooth, erratic, intermittent or lumpy by the mean interval and the squared coefficient of
 * variation of its sizes, with the limits 1.32 and 0.49 (Syntetos, Boylan and Croston, J Oper Res Soc 2005;56:495-503).
 * Refuses an empty history. `classifyDemand([0, 0, 4, 0, 0, 4])` is `{adi: 3, cv2: 0, class: 'intermittent'}`.
 */
export function classifyDemand(history: History): DemandPattern {
  checkHistory(history);
  const sizes = history.filter((x) => x > 0);
  if (sizes.length === 0) return { adi: null, cv2: null, class: null };
  const { mean, sd } = spreadOf(sizes);
  const adi = history.length / sizes.length;
  const cv2 = (sd / mean) ** 2;
  return { adi, cv2, class: classOf(adi, cv2) };
}

function classOf(adi: number, cv2: number): DemandClass {
  if (adi < ADI_LIMIT) return cv2 < CV2_LIMIT ? 'smooth' : 'erratic';
  return cv2 < CV2_LIMIT ? 'intermittent' : 'lumpy';
}

/** Mean and standard deviation of something that varies. */
export interface Spread {
  mean: number;
  sd: number;
}

/** Mean and sample standard deviation of observations, sd 0 for a single one. `spreadOf([9, 11])` is `{mean: 10, sd: 1.414…}`. */
export function spreadOf(values: number[]): Spread {
  if (values.length === 0)
    throw new Refusal('invalid', 'no-observations', 'there are no observations; give at least one');
  const mean = values.reduce((sum, x) => sum + x, 0) / values.length;
  const squares = values.reduce((sum, x) => sum + (x - mean) ** 2, 0);
  return { mean, sd: values.length === 1 ? 0 : Math.sqrt(squares / (values.length - 1)) };
}

/** Fewer observed lead times than this say less about their spread than the supplier does: common practice, no source. */
const LEARNT_FROM = 3;

/**
 * The lead time in days to reckon with: what was observed on received orders once there are three of them, what the
 * supplier states before.
 */
export function learntLeadTime(observedDays: number[], stated: Spread): Spread {
  return observedDays.length < LEARNT_FROM ? stated : spreadOf(observedDays);
}

/** Refuses a history that is empty or holds anything but numbers of at least 0. */
export function checkHistory(history: History): void {
  if (history.length === 0) {
    throw new Refusal('invalid', 'bad-history', 'the history is empty; give the demand of at least one period');
  }
  const wrong = history.findIndex((x) => !(x >= 0 && Number.isFinite(x)));
  if (wrong >= 0) {
    throw new Refusal(
      'invalid',
      'bad-history',
      `the demand of period ${wrong + 1} is ${history[wrong]}; give a number of at least 0, returns taken off`,
    );
  }
}
