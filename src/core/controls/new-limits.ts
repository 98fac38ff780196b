import { Refusal } from '../refusal.js';
import { summarise, type Summary } from '../statistics/sample.js';
import {
  checkedLimits,
  cumulative,
  type DatedResult,
  firstLimits,
  grubbs,
  type Limits,
  newLotLimits,
} from './limits.js';
import type { LimitsSource } from './series.js';

/** A value that limits are computed from. */
export interface LimitsValue extends DatedResult {
  id: string;
}

/** Values of this many are summed up at a time, so that cumulative limits hold for any number of them. */
export const LIMITS_BLOCK = 5000;

/** The chance of calling a good value suspect. */
const SUSPECT_ALPHA = 0.05;
/** The distances of more values than this are not compared; a suspect hides among so many. */
const MOST_COMPARED = 2000;

export interface ComputedLimits extends Summary {
  provisional: boolean;
  /** Id of the value farthest from the mean, when it lies too far for a normal sample. */
  suspect: string | null;
}

/**
 * Limits from a laboratory's own values by what they come from (see core/controls/limits): the first ones, or those after an
 * accepted change; all of them cumulatively; or those of a new lot in parallel, with the old lot's relative spread. Refuses
 * too few values, values that do not differ, and a new lot without old limits.
 */
export function computedLimits(
  source: LimitsSource,
  values: readonly LimitsValue[],
  old: Limits | null,
): ComputedLimits {
  const suspect = suspectOf(values);
  if (source === 'new lot') {
    if (!old) {
      throw new Refusal(
        'invalid',
        'no-old-limits',
        'There are no limits of the old lot; compute them from its first points.',
      );
    }
    return {
      ...newLotLimits(
        old,
        values.map(({ x }) => x),
      ),
      suspect,
    };
  }
  if (source === 'cumulative') {
    const blocks = Array.from({ length: Math.ceil(values.length / LIMITS_BLOCK) }, (_, n) =>
      summaryOf(values.slice(n * LIMITS_BLOCK, (n + 1) * LIMITS_BLOCK)),
    );
    const summary = cumulative(blocks);
    checkedLimits(summary);
    return { ...summary, provisional: firstLimits(values).provisional, suspect };
  }
  return { ...firstLimits(values), suspect };
}

function summaryOf(values: readonly LimitsValue[]): Summary {
  const [only] = values;
  return values.length === 1 && only ? { n: 1, mean: only.x, sd: 0 } : summarise(values.map(({ x }) => x));
}

function suspectOf(values: readonly LimitsValue[]): string | null {
  if (values.length < 3 || values.length > MOST_COMPARED) return null;
  if (values.every(({ x }) => x === values[0]?.x)) return null;
  const { index, outlier } = grubbs(
    values.map(({ x }) => x),
    SUSPECT_ALPHA,
  );
  return outlier ? (values[index]?.id ?? null) : null;
}
