import { sha256 } from '../record/record.js';

/**
 * The algorithm as anyone can do it again: `printf '%s' 'SEED:ID' | sha256sum` for each id of the population; the n whose
 * sums come first in the order of their hexadecimal text are the sample.
 */
export const SAMPLE_METHOD = 'sha256(seed:id), ascending, first n';

/**
 * A random sample of n ids that anyone can draw again from the same population and seed, whatever order the population is
 * in: ordered by SHA-256 over the UTF-8 text of seed, colon and id, the first n; all when there are fewer. FIPS 180-4 for the
 * hash; ordering by it is common practice. `drawSample(['a', 'b', 'c'], 1, 'seed')` is ['a'].
 */
export function drawSample(ids: readonly string[], n: number, seed: string): string[] {
  return ids
    .map((id) => ({ id, sum: sha256(`${seed}:${id}`) }))
    .sort((a, b) => (a.sum < b.sum ? -1 : 1))
    .slice(0, n)
    .map(({ id }) => id);
}
