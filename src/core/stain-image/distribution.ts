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

/** Parts the range so finely that the value at a rank is looked for among few. */
const BINS = 65_536;

/**
 * Mean, SD, median, 95th percentile (linear between neighbours) and share above a threshold of many values, in time that grows
 * with their number. Refuses no value and values that are not finite. `distributionOf(Float64Array.of(1, 2, 3, 4), 3)` is `{mean:
 * 2.5, sd: 1.2909944487358056, median: 2.5, p95: 3.8499999999999996, fractionAbove: 0.25}`.
 */
export function distributionOf(values: Float64Array, threshold: number): Distribution {
  const n = values.length;
  const { sum, above, low, high } = span(values, threshold);
  if (!Number.isFinite(sum) || n === 0) {
    throw new Refusal(
      'invalid',
      'bad-result',
      `there are ${n} values with the sum ${sum}; give at least one, all finite`,
    );
  }
  const mean = sum / n;
  const bins = parted(values, low, high, mean);
  return {
    mean,
    sd: n === 1 ? 0 : Math.sqrt(bins.squares / (n - 1)),
    median: quantile(values, bins, 0.5),
    p95: quantile(values, bins, 0.95),
    fractionAbove: above / n,
  };
}

// Each loop has a function of its own, so that its sums stay in registers.

function span(values: Float64Array, threshold: number): { sum: number; above: number; low: number; high: number } {
  let sum = 0;
  let above = 0;
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < values.length; i++) {
    const value = at(values, i);
    sum += value;
    // Without a branch, which the processor would guess wrong half of the time.
    above += value > threshold ? 1 : 0;
    low = Math.min(low, value);
    high = Math.max(high, value);
  }
  return { sum, above, low, high };
}

interface Bins {
  low: number;
  /** Bins per unit. */
  scale: number;
  counts: Uint32Array;
  /** Sum of the squared distances from the mean. */
  squares: number;
}

function parted(values: Float64Array, low: number, high: number, mean: number): Bins {
  const scale = (BINS - 1) / (high - low);
  const counts = new Uint32Array(BINS);
  let squares = 0;
  for (let i = 0; i < values.length; i++) {
    const value = at(values, i);
    squares += (value - mean) * (value - mean);
    const bin = ((value - low) * scale) | 0;
    counts[bin] = (counts[bin] as number) + 1;
  }
  return { low, scale, counts, squares };
}

function quantile(values: Float64Array, bins: Bins, p: number): number {
  const rank = p * (values.length - 1);
  const first = binOf(bins.counts, Math.floor(rank));
  const last = binOf(bins.counts, Math.ceil(rank));
  const held = heldIn(values, bins, first.bin, last.bin, last.before + last.count - first.before);
  return between(held, rank - first.before);
}

function heldIn(values: Float64Array, { low, scale }: Bins, first: number, last: number, size: number): Float64Array {
  const held = new Float64Array(size);
  const width = last - first;
  for (let i = 0, count = 0; i < values.length; i++) {
    const value = at(values, i);
    // A bin before the first wraps round to a number beyond any width.
    if (((((value - low) * scale) | 0) - first) >>> 0 <= width) held[count++] = value;
  }
  return held;
}

/** The bin that holds the value of this rank, and how many values come before it. */
function binOf(counts: Uint32Array, rank: number): { bin: number; before: number; count: number } {
  let before = 0;
  for (let bin = 0; ; bin++) {
    const count = counts[bin] ?? 0;
    if (before + count > rank) return { bin, before, count };
    before += count;
  }
}

/** The value at a rank that may lie between two whole ones, linearly between their values; reorders the values. */
function between(values: Float64Array, rank: number): number {
  const below = Math.floor(rank);
  const left = select(values, below, 0, values.length - 1);
  if (rank === below) return left;
  let next = at(values, below + 1);
  for (let i = below + 2; i < values.length; i++) next = Math.min(next, at(values, i));
  return left + (next - left) * (rank - below);
}

/** From this many on a sample of them shows where the value looked for about is. */
const WORTH_SAMPLING = 600;

/**
 * Moves the values from left to right so that the one of this rank stands in its place, with none above it before it and none
 * below it after it, and gives it (Floyd and Rivest, Algorithm 489, Comm ACM 1975;18:173).
 */
function select(values: Float64Array, rank: number, left: number, right: number): number {
  while (right > left) {
    const n = right - left + 1;
    if (n > WORTH_SAMPLING) {
      const i = rank - left + 1;
      const z = Math.log(n);
      const size = 0.5 * Math.exp((2 * z) / 3);
      const sd = 0.5 * Math.sqrt((z * size * (n - size)) / n) * Math.sign(i - n / 2);
      const from = Math.max(left, Math.floor(rank - (i * size) / n + sd));
      const to = Math.min(right, Math.floor(rank + ((n - i) * size) / n + sd));
      select(values, rank, from, to);
    }
    const pivot = at(values, rank);
    let i = left;
    let j = right;
    swap(values, left, rank);
    if (at(values, right) > pivot) swap(values, left, right);
    while (i < j) {
      swap(values, i++, j--);
      while (at(values, i) < pivot) i++;
      while (at(values, j) > pivot) j--;
    }
    if (at(values, left) === pivot) swap(values, left, j);
    else swap(values, ++j, right);
    if (j <= rank) left = j + 1;
    if (rank <= j) right = j - 1;
  }
  return at(values, rank);
}

function swap(values: Float64Array, i: number, j: number): void {
  const value = at(values, i);
  values[i] = at(values, j);
  values[j] = value;
}

/** For an index within bounds: asking for undefined would double the time of these loops, and so would iterators. */
function at(values: Float64Array, index: number): number {
  return values[index] as number;
}
