import { classifyDemand, type DemandClass, type History, type Spread, spreadOf } from './demand.js';
import { type Accuracy, accuracy, holtWinters, seasonForecast, seasonStart, smooth } from './forecast.js';
import { croston, sba, tsb } from './intermittent.js';
import type { ForecastMethod, StockPolicy } from './outlook-facts.js';

/** A year holds every weekday and holiday once; what is older says little about how demand spreads now. */
const SPREAD_DAYS = 365;
const WEEK = 7;

/** The forecast of a reagent's use, and what it rests on. */
export interface Usage {
  class: DemandClass | null;
  adi: number | null;
  cv2: number | null;
  /** The method that was used. */
  method: ForecastMethod;
  /** Mean forecast of a day, and the standard deviation of the demand of a day. */
  perDay: Spread;
  /** Mean size of the demands that were above 0; null when there was none. */
  usualTaking: number | null;
}

/** The method for each class when none is chosen; that for rare demand falls to 0 when an item is no longer used. */
const METHOD_OF: Record<DemandClass, ForecastMethod> = {
  smooth: 'ses',
  erratic: 'ses',
  intermittent: 'tsb',
  lumpy: 'tsb',
};

type Smoothing = Pick<StockPolicy, 'method' | 'alpha' | 'beta'>;

/**
 * Forecast and spread of the demand of a day from its history, earliest first; class and spread from the last year, the
 * forecast from all of it. Nothing is expected where there is no history. A steady use of 4 has `perDay: {mean: 4, sd: 0}`.
 */
export function usageOf(history: History, policy: Smoothing): Usage {
  if (history.length === 0) {
    return { class: null, adi: null, cv2: null, method: 'ses', perDay: { mean: 0, sd: 0 }, usualTaking: null };
  }
  const year = history.slice(-SPREAD_DAYS);
  const pattern = classifyDemand(year);
  const method = methodFor(pattern.class, history, policy.method);
  const { mean } = spreadOf(coming(history, method, policy, WEEK));
  const sizes = year.filter((x) => x > 0);
  return {
    ...pattern,
    method,
    perDay: { mean, sd: spreadOf(year).sd },
    usualTaking: sizes.length === 0 ? null : spreadOf(sizes).mean,
  };
}

function methodFor(known: DemandClass | null, history: History, wanted: StockPolicy['method']): ForecastMethod {
  const usual = known === null ? 'ses' : METHOD_OF[known];
  if (wanted === 'auto') return usual;
  // Weekdays show only once there are two weeks.
  return wanted === 'weekdays' && history.length < 2 * WEEK ? usual : wanted;
}

/** The forecast of each coming day, the one after the end of the history first; never below 0. */
export function coming(
  history: History,
  method: ForecastMethod,
  { alpha, beta }: Omit<Smoothing, 'method'>,
  days: number,
): number[] {
  if (history.length === 0) return Array<number>(days).fill(0);
  if (method === 'weekdays') {
    const start = seasonStart(history, WEEK, 'additive');
    const weights = { alpha, beta, gamma: alpha, form: 'additive' as const };
    const state = holtWinters(history.slice(WEEK), weights, start);
    // The trend of some weeks is not carried through a year.
    return seasonForecast({ ...state, trend: 0 }, 'additive', days).map((x) => Math.max(0, x));
  }
  return Array<number>(days).fill(LEVEL[method](history, alpha, beta));
}

const LEVEL: Record<Exclude<ForecastMethod, 'weekdays'>, (history: History, alpha: number, beta: number) => number> = {
  ses: (history, alpha) => smooth(history, alpha),
  croston: (history, alpha) => croston(history, alpha).forecast,
  sba: (history, alpha) => sba(history, alpha),
  tsb: (history, alpha, beta) => tsb(history, { alpha, beta }).forecast,
};

const TRIAL_DAYS = 28;

/**
 * How far the forecast made four weeks ago missed what was used since; null while the history is too short to tell (less
 * than two weeks before them).
 */
export function lookBack(history: History, usage: Pick<Usage, 'method'>, policy: Smoothing): Accuracy | null {
  if (history.length < TRIAL_DAYS + 2 * WEEK) return null;
  const before = history.slice(0, -TRIAL_DAYS);
  return accuracy(history.slice(-TRIAL_DAYS), coming(before, usage.method, policy, TRIAL_DAYS), before);
}
