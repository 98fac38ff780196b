import { checkHistory, type History } from './demand.js';
import { checkWeight } from './forecast.js';

/** Mean size of a demand, mean interval between demands in periods, and their quotient, the forecast per period. */
export interface CrostonState {
  size: number;
  interval: number;
  forecast: number;
}

/**
 * Forecast per period of an intermittent demand by Croston's method: size and interval are smoothed on demand only, the
 * first ones start them, and the first interval counts from the start (Croston, Oper Res Q 1972;23:289-303). 0 when there
 * never was a demand. `croston([0, 0, 0, 10], 0.1)` is `{size: 10, interval: 4, forecast: 2.5}`.
 */
export function croston(history: History, alpha: number): CrostonState {
  checkHistory(history);
  checkWeight('alpha', alpha);
  let state: CrostonState | undefined;
  let since = 0;
  for (const x of history) {
    since += 1;
    if (x === 0) continue;
    const size = state ? state.size + alpha * (x - state.size) : x;
    const interval = state ? state.interval + alpha * (since - state.interval) : since;
    state = { size, interval, forecast: size / interval };
    since = 0;
  }
  return state ?? { size: 0, interval: history.length, forecast: 0 };
}

/** Croston's forecast less its bias, times 1 - alpha / 2 (Syntetos and Boylan, Int J Forecasting 2005;21:303-314). */
export function sba(history: History, alpha: number): number {
  return croston(history, alpha).forecast * (1 - alpha / 2);
}

/** Croston's forecast less its bias by Shale, Boylan and Johnston (J Oper Res Soc 2006;57:588-592): times 1 - alpha / (2 - alpha). */
export function sbj(history: History, alpha: number): number {
  return croston(history, alpha).forecast * (1 - alpha / (2 - alpha));
}

/** Probability that a period has a demand, mean size of one, and their product, the forecast per period. */
export interface TsbState {
  probability: number;
  size: number;
  forecast: number;
}

/**
 * Forecast per period by the method of Teunter, Syntetos and Babai (Eur J Oper Res 2011;214:606-615): the probability is
 * smoothed by beta in every period, so that the forecast of a dead item falls to 0, the size by alpha on demand. Starts
 * at the first demand, with one over its place as the probability, unless a state is given for the whole history to
 * start from. `tsb([0, 0, 0, 10], {alpha: 0.1, beta: 0.1})` is `{probability: 0.25, size: 10, forecast: 2.5}`.
 */
export function tsb(
  history: History,
  { alpha, beta }: { alpha: number; beta: number },
  start?: { probability: number; size: number },
): TsbState {
  checkHistory(history);
  checkWeight('alpha', alpha);
  checkWeight('beta', beta);
  const first = start ? -1 : history.findIndex((x) => x > 0);
  if (!start && first < 0) return { probability: 0, size: 0, forecast: 0 };
  let { probability, size } = start ?? { probability: 1 / (first + 1), size: history[first] ?? 0 };
  for (const x of history.slice(first + 1)) {
    probability += beta * ((x > 0 ? 1 : 0) - probability);
    if (x > 0) size += alpha * (x - size);
  }
  return { probability, size, forecast: probability * size };
}
