import type { Flow } from './flow.js';

/** The beginning of a schedule: some steps of each run in the order in which hands come to them. */
export interface Beginning {
  /** By moment, -1 where not there yet. */
  starts: Float64Array;
  /** By moment: the latest second, once the pair of hands must be elsewhere after it. */
  limits: Float64Array;
  /** By moment: what the same pair of hands does next. */
  thenHands: Int32Array;
  /** By stay, as `stayOf` numbers it: what enters the place that is left when it ends. */
  thenPlace: Int32Array;
  /** By run: how many of its steps are there. */
  count: Int16Array;
  /** By pair of hands: what it did last. */
  last: Int32Array;
  /** By station and place. */
  places: Slot[][];
  workLeft: number;
}

/** The last stay at a place: the moments that begin and end it, -1 for none; open while the one that ends it is not there. */
export interface Slot {
  began: number;
  ends: number;
  open: boolean;
}

/** The second at which the hands leave a moment that is there. */
export function endOf({ handsOn }: Flow, { starts }: Beginning, moment: number): number {
  return (starts[moment] as number) + (handsOn[moment] as number);
}

/** The first second from `sec` on at which a pair of hands has `length` seconds in one piece. */
export function afterBlocked(blocked: { from: number; to: number }[], sec: number, length: number): number {
  let at = sec;
  for (const { from, to } of blocked) if (from < at + length && to > at) at = to;
  return at;
}
