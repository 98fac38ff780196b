import { Refusal } from '../refusal.js';

/** Results of two methods or lots on the same cases, in the same order: x by the old one, y by the new. */
export interface Pairs {
  x: readonly number[];
  y: readonly number[];
}

/** Some methods set each pair against each other one, which is 12.5 million at this many. */
const MOST_PAIRS = 5000;

/** Refuses lists of unequal length, fewer pairs than asked for, more than 5000, and results that are not finite. */
export function checkedPairs({ x, y }: Pairs, least: number): Pairs {
  if (x.length !== y.length) {
    throw new Refusal('invalid', 'bad-pairs', `there are ${x.length} results x and ${y.length} results y; give pairs`);
  }
  if (x.length < least) {
    throw new Refusal('invalid', 'too-few', `the comparison needs at least ${least} pairs; there are ${x.length}`);
  }
  if (x.length > MOST_PAIRS) {
    throw new Refusal('invalid', 'too-many', `there are ${x.length} pairs; a comparison takes at most ${MOST_PAIRS}`);
  }
  if (![...x, ...y].every(Number.isFinite)) {
    throw new Refusal('invalid', 'bad-result', 'a result is no finite number; leave its pair out or mend it');
  }
  return { x, y };
}

/** The y that belongs to each x. */
export function zipped({ x, y }: Pairs): [number, number][] {
  return x.map((value, i) => [value, y[i] ?? Number.NaN]);
}
