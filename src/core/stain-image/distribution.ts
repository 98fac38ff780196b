import { Refusal } from '../refusal.js';

export interface Distribution {
  mean: number;
  /** With n - 1 in the denominator; 0 for a single value. */
  sd: number;
  median: number;
  p95: number;
  /** Share of values strictly above the threshold. */
  fractionAbove: number;
}

/** Parts the range so finely that few values are left to look for a rank among. */
const BINS = 65_536;

/**
 * Mean, SD, median, 95th percentile (linear between neighbours) and share above a threshold of many values, in time that grows
 * with their number. Where `counts` is given, each value stands for so many alike. Refuses no value and values that are not
 * finite. `distributionOf(Float64Array.of(1, 2, 3, 4), 3)` is `{mean: 2.5, sd: 1.2909944487358056, median: 2.5, p95:
 * 3.8499999999999996, fractionAbove: 0.25}`.
 */
export function distributionOf(
  values: Float64Array,
  threshold: number,
  counts: Uint32Array = new Uint32Array(values.length).fill(1),
): Distribution {
  const counted: Counted = { values, counts };
  const { n, sum, above } = sums(counted, threshold);
  if (!Number.isFinite(sum) || n === 0) {
    throw new Refusal(
      'invalid',
      'bad-result',
      `there are ${n} values with the sum ${sum}; give at least one, all finite`,
    );
  }
  const mean = sum / n;
  const parts = parted(counted);
  return {
    mean,
    sd: n === 1 ? 0 : Math.sqrt(squares(counted, mean) / (n - 1)),
    median: quantile(counted, parts, 0.5 * (n - 1)),
    p95: quantile(counted, parts, 0.95 * (n - 1)),
    fractionAbove: above / n,
  };
}

interface Counted {
  values: Float64Array;
  /** How often each value stands. */
  counts: Uint32Array;
}

// Each loop has a function of its own, so that its sums stay in registers, and takes what is within bounds as a number: asking for
// undefined would double its time, and so would iterators.

function sums({ values, counts }: Counted, threshold: number): { n: number; sum: number; above: number } {
  let [n, sum, above] = [0, 0, 0];
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number;
    const count = counts[i] as number;
    n += count;
    sum += value * count;
    // Without a branch, which the processor would guess wrong half of the time.
    above += value > threshold ? count : 0;
  }
  return { n, sum, above };
}

/** The sum of the squared distances from the mean. */
function squares({ values, counts }: Counted, mean: number): number {
  let sum = 0;
  for (let i = 0; i < values.length; i++) {
    const distance = (values[i] as number) - mean;
    sum += distance * distance * (counts[i] as number);
  }
  return sum;
}

/** The range of values, parted into bins of one width, and how many values lie in each. */
interface Parts {
  low: number;
  high: number;
  bins: Float64Array;
}

function parted({ values, counts }: Counted): Parts {
  const { low, high } = rangeOf(values);
  const bins = new Float64Array(BINS);
  for (let i = 0; i < values.length; i++) {
    const bin = binOf(values[i] as number, low, high);
    bins[bin] = (bins[bin] as number) + (counts[i] as number);
  }
  return { low, high, bins };
}

function rangeOf(values: Float64Array): { low: number; high: number } {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < values.length; i++) {
    low = Math.min(low, values[i] as number);
    high = Math.max(high, values[i] as number);
  }
  return { low, high };
}

/** The first bin for the lowest value, the last for the highest, however near they are; the first where they are one. */
function binOf(value: number, low: number, high: number): number {
  return (((value - low) / (high - low)) * (BINS - 1)) | 0;
}

/** The value at a rank that may lie between two whole ones, linearly between their values. */
function quantile(counted: Counted, parts: Parts, rank: number): number {
  const { low, high, bins } = parts;
  if (low === high) return between(low, high, rank);
  const first = atRank(bins, Math.floor(rank));
  const last = atRank(bins, Math.ceil(rank));
  const held = heldIn(counted, parts, first.bin);
  // The two neighbours are the last of one bin and the first of another.
  if (first.bin !== last.bin) {
    return between(rangeOf(held.values).high, rangeOf(heldIn(counted, parts, last.bin).values).low, rank);
  }
  return quantile(held, parted(held), rank - first.before);
}

function between(left: number, right: number, rank: number): number {
  return left + (right - left) * (rank - Math.floor(rank));
}

/** The bin that holds the value of this rank, and how many values come before it. */
function atRank(bins: Float64Array, rank: number): { bin: number; before: number } {
  let before = 0;
  for (let bin = 0; ; bin++) {
    const count = bins[bin] ?? 0;
    if (before + count > rank) return { bin, before };
    before += count;
  }
}

function heldIn({ values, counts }: Counted, { low, high, bins }: Parts, bin: number): Counted {
  // No more values than these, since each stands at least once.
  const most = Math.min(values.length, bins[bin] ?? 0);
  const held: Counted = { values: new Float64Array(most), counts: new Uint32Array(most) };
  let size = 0;
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number;
    if (binOf(value, low, high) !== bin) continue;
    held.values[size] = value;
    held.counts[size++] = counts[i] as number;
  }
  return { values: held.values.subarray(0, size), counts: held.counts.subarray(0, size) };
}
