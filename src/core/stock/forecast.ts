import { Refusal } from '../refusal.js';
import { checkHistory, type History } from './demand.js';

/** Level and trend at the end of a history; the forecast for h periods ahead is level + h trend. */
export interface TrendState {
  level: number;
  trend: number;
}

/**
 * Forecast per period by simple exponential smoothing, the level starting at the first value: l += alpha (x - l)
 * (Holt 1957, Int J Forecasting 2004;20:5-10). Refuses alpha outside 0 to 1 and an empty history.
 * `smooth([10, 12], 0.5)` is 11.
 */
export function smooth(history: History, alpha: number): number {
  checkHistory(history);
  checkWeight('alpha', alpha);
  return history.reduce((level, x) => level + alpha * (x - level));
}

/**
 * Level and trend by Holt's method: l = alpha x + (1 - alpha)(l + b), b = beta (l - l_old) + (1 - beta) b, starting from
 * the second value and its rise over the first unless a state is given for the whole history to start from (Holt 1957).
 * `holt([10, 12, 14], {alpha: 0.5, beta: 0.5})` is `{level: 14, trend: 2}`.
 */
export function holt(history: History, weights: { alpha: number; beta: number }, start?: TrendState): TrendState {
  checkHistory(history);
  const { alpha, beta } = weights;
  checkWeight('alpha', alpha);
  checkWeight('beta', beta);
  const [first, second, ...others] = history;
  if (!start && (first === undefined || second === undefined)) {
    throw new Refusal('invalid', 'bad-history', 'a trend needs the demand of at least two periods; give more');
  }
  const from = start ?? { level: second ?? 0, trend: (second ?? 0) - (first ?? 0) };
  return (start ? history : others).reduce(({ level, trend }, x) => {
    const next = alpha * x + (1 - alpha) * (level + trend);
    return { level: next, trend: beta * (next - level) + (1 - beta) * trend };
  }, from);
}

export interface SeasonState extends TrendState {
  /** One value for each period of the season, that of the next period first. */
  seasonals: number[];
}

export interface SeasonWeights {
  alpha: number;
  beta: number;
  gamma: number;
  /** Whether a season adds to the level or multiplies it. */
  form: 'additive' | 'multiplicative';
}

/**
 * Level, trend and seasonals by the Holt-Winters method from a start such as `seasonStart` gives, with the demand of the
 * periods after it; the seasonal is updated with the new level (Winters, Management Science 1960;6:324-342; where the old
 * level is taken instead, the same gamma means something else).
 */
export function holtWinters(history: History, weights: SeasonWeights, start: SeasonState): SeasonState {
  checkHistory(history);
  const { alpha, beta, gamma, form } = weights;
  Object.entries({ alpha, beta, gamma }).forEach(([name, weight]) => checkWeight(name, weight));
  if (start.seasonals.length === 0) throw new Refusal('invalid', 'bad-history', 'a season needs at least one period');
  const { without, ratio } = FORMS[form];
  const seasonals = [...start.seasonals];
  let { level, trend } = start;
  history.forEach((x, t) => {
    const place = t % seasonals.length;
    const season = seasonals[place] ?? 0;
    const next = alpha * without(x, season) + (1 - alpha) * (level + trend);
    trend = beta * (next - level) + (1 - beta) * trend;
    level = next;
    seasonals[place] = gamma * ratio(x, level) + (1 - gamma) * season;
  });
  const turn = history.length % seasonals.length;
  return { level, trend, seasonals: [...seasonals.slice(turn), ...seasonals.slice(0, turn)] };
}

/**
 * A start for `holtWinters` at the end of the first season: level its mean, trend the rise of the second season's mean by
 * period, seasonals its values against its mean (convention). Refuses less than two whole seasons.
 */
export function seasonStart(history: History, period: number, form: SeasonWeights['form']): SeasonState {
  checkHistory(history);
  if (!(Number.isInteger(period) && period >= 1 && history.length >= 2 * period)) {
    throw new Refusal(
      'invalid',
      'bad-history',
      `${history.length} periods do not hold two seasons of ${period}; give a longer history or a shorter, whole season`,
    );
  }
  const mean = (from: number) => history.slice(from, from + period).reduce((sum, x) => sum + x, 0) / period;
  const [level, second] = [mean(0), mean(period)];
  const seasonals = history.slice(0, period).map((x) => FORMS[form].ratio(x, level));
  return { level, trend: (second - level) / period, seasonals };
}

/** The forecasts for the coming periods, the next one first. */
export function seasonForecast(
  { level, trend, seasonals }: SeasonState,
  form: SeasonWeights['form'],
  periods: number,
): number[] {
  return Array.from({ length: periods }, (_, index) =>
    FORMS[form].with(level + (index + 1) * trend, seasonals[index % seasonals.length] ?? 0),
  );
}

const FORMS = {
  additive: {
    with: (level: number, season: number) => level + season,
    without: (x: number, season: number) => x - season,
    ratio: (x: number, level: number) => x - level,
  },
  multiplicative: {
    with: (level: number, season: number) => level * season,
    without: (x: number, season: number) => (season === 0 ? 0 : x / season),
    ratio: (x: number, level: number) => (level === 0 ? 1 : x / level),
  },
};

/** How far forecasts missed what came. */
export interface Accuracy {
  /** Mean absolute error. */
  mae: number;
  /** Against the mean step of the history from period to period; null when it never moves. */
  mase: number | null;
}

/**
 * Mean absolute error, plain and scaled (Hyndman and Koehler, Int J Forecasting 2006;22:679-688), of forecasts against
 * what came, scaled by the history before it. Per cent errors are of no use where there are zeros.
 */
export function accuracy(actual: number[], forecasts: number[], history: History): Accuracy {
  if (actual.length === 0 || actual.length !== forecasts.length) {
    throw new Refusal(
      'invalid',
      'bad-history',
      `${forecasts.length} forecasts cannot be held against ${actual.length} periods; give as many of each, at least one`,
    );
  }
  const mean = (sizes: number[]) => sizes.reduce((sum, x) => sum + Math.abs(x), 0) / sizes.length;
  const mae = mean(actual.map((x, index) => x - (forecasts[index] ?? 0)));
  const steps = history.slice(1).map((x, index) => x - (history[index] ?? 0));
  const scale = steps.length === 0 ? 0 : mean(steps);
  return { mae, mase: scale === 0 ? null : mae / scale };
}

/** Refuses a smoothing weight that is not from above 0 to 1. */
export function checkWeight(name: string, weight: number): void {
  if (!(weight > 0 && weight <= 1)) {
    throw new Refusal(
      'invalid',
      'bad-weight',
      `${name} is ${weight}; give a smoothing weight above 0 and up to 1, such as 0.1`,
    );
  }
}
