import { Refusal } from '../refusal.js';

/** What was counted in one period or sample: so many in so many units. */
export interface CountedSample {
  count: number;
  size: number;
}

export interface AttributesPoint extends CountedSample {
  /** Count per unit; null where there was no unit. */
  value: number | null;
  lcl: number;
  ucl: number;
  /** On or below the limits it is the process; beyond them something special happened. */
  beyond: boolean;
  /** Fewer than five are expected, so that the limits, which take counts for normal, are rough (common practice). */
  sparse: boolean;
}

/** A chart of counts: its centre, and each sample against its own limits. */
export interface AttributesChart {
  centre: number;
  points: AttributesPoint[];
}

const ENOUGH = 5;

/**
 * Shewhart's chart of the proportion of units with something: centre p = sum of counts / sum of sizes, limits
 * p -/+ 3 sqrt(p (1-p) / n) with each sample's own n, kept within 0 and 1 (NIST/SEMATECH e-Handbook of Statistical Methods,
 * 6.3.3.2). Refuses samples without any unit and counts above their size. `pChart([{count: 1, size: 10}, {count: 3, size:
 * 10}]).centre` is 0.2.
 */
export function pChart(samples: readonly CountedSample[]): AttributesChart {
  const over = samples.find(({ count, size }) => count > size);
  if (over) throw bad(`a sample has ${over.count} of ${over.size}; a part cannot be more than the whole`);
  const centre = centreOf(samples);
  return chart(samples, centre, {
    sigma: (size) => Math.sqrt((centre * (1 - centre)) / size),
    most: 1,
    sparse: (size) => Math.min(centre, 1 - centre) * size < ENOUGH,
  });
}

/**
 * Shewhart's chart of what is counted per unit, of which a unit may have several: centre u = sum of counts / sum of sizes,
 * limits u -/+ 3 sqrt(u / n) with each sample's own n, not below 0 (NIST/SEMATECH e-Handbook, 6.3.3.1 for counts; per unit:
 * Montgomery, Introduction to Statistical Quality Control). Refuses samples without any unit. `uChart([{count: 1, size: 10},
 * {count: 3, size: 10}]).centre` is 0.2.
 */
export function uChart(samples: readonly CountedSample[]): AttributesChart {
  const centre = centreOf(samples);
  return chart(samples, centre, {
    sigma: (size) => Math.sqrt(centre / size),
    most: Number.POSITIVE_INFINITY,
    sparse: (size) => centre * size < ENOUGH,
  });
}

function chart(
  samples: readonly CountedSample[],
  centre: number,
  { sigma, most, sparse }: { sigma: (size: number) => number; most: number; sparse: (size: number) => boolean },
): AttributesChart {
  return {
    centre,
    points: samples.map(({ count, size }) => {
      if (size === 0) return { count, size, value: null, lcl: centre, ucl: centre, beyond: false, sparse: true };
      const half = 3 * sigma(size);
      const [lcl, ucl] = [Math.max(0, centre - half), Math.min(most, centre + half)];
      const value = count / size;
      return { count, size, value, lcl, ucl, beyond: value < lcl || value > ucl, sparse: sparse(size) };
    }),
  };
}

function centreOf(samples: readonly CountedSample[]): number {
  for (const { count, size } of samples) {
    if (!Number.isInteger(count) || count < 0 || !Number.isFinite(size) || size < 0 || (size === 0 && count > 0)) {
      throw bad(`a sample has ${count} in ${size}; a count is a whole number of 0 or more, in units that are there`);
    }
  }
  const size = samples.reduce((sum, each) => sum + each.size, 0);
  if (size === 0) throw bad('there is no unit in any sample, so that nothing can be said per unit');
  return samples.reduce((sum, { count }) => sum + count, 0) / size;
}

function bad(message: string): Refusal {
  return new Refusal('invalid', 'bad-counts', message);
}
