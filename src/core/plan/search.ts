import { firstCollision } from './collision.js';
import type { HandsOf } from './share-out.js';
import type { Model } from './model.js';
import type { Network } from './network.js';
import { exclusivePairs, leastValue, tighten, type Aim, type Pair } from './tighten.js';

/** Starts by moment, and what they make of the aim. */
export interface Found {
  value: number;
  starts: number[];
}

export interface SearchEnd {
  best: Found | null;
  /** Nothing was left out: without a best there is none, with one there is no better. */
  exhausted: boolean;
  nodes: number;
}

/**
 * Branch and bound on the disjunctive network: start everything as early as the demands allow, take the first
 * collision, try each way out of it; where nothing collides the starts are the least of that node. Looks only for
 * values of at most `limit`, settles the orders of `pairs` that are forced, and stops when one of `enough` is found or `mayGoOn` says no.
 */
export function search(
  network: Network,
  model: Model,
  pairs: Pair[],
  aim: Aim,
  limit: number,
  enough: number,
  mayGoOn: () => boolean,
): SearchEnd {
  const end: SearchEnd = { best: null, exhausted: true, nodes: 0 };
  const hands: HandsOf = new Map();
  const limitNow = (): number => (end.best ? end.best.value - 1 : limit);
  const over = (): boolean => end.best !== null && end.best.value <= enough;

  function explore(undecided: Pair[]): void {
    if (!mayGoOn()) {
      end.exhausted = false;
      return;
    }
    end.nodes++;
    const open = tighten(network, model, undecided, aim, limitNow());
    if (!open) return;
    const ways = firstCollision(network, model, hands);
    if (ways === null) {
      const starts = Array.from({ length: network.size }, (_, moment) => network.earliest(moment));
      end.best = { value: leastValue(network, aim), starts };
      return;
    }
    for (const { take, otherwise } of ways) {
      const mark = network.mark();
      const settled = [...hands.keys()];
      if (take()) explore(open);
      network.backTo(mark);
      for (const activity of hands.keys()) if (!settled.includes(activity)) hands.delete(activity);
      if (over() || !end.exhausted) return;
      if (!otherwise()) return;
    }
  }

  const mark = network.mark();
  explore(pairs);
  network.backTo(mark);
  return end;
}

/**
 * The least value that cannot be ruled out at the root, between `from` and `to`: each trial value that leads to a
 * contradiction raises the bound (destructive improvement: Klein and Scholl 1999, Eur J Oper Res 112:322-346).
 */
export function provenBound(network: Network, model: Model, aim: Aim, from: number, to: number): number {
  const pairs = exclusivePairs(model);
  let [low, high] = [from, to];
  while (low < high) {
    const middle = Math.floor((low + high) / 2);
    const mark = network.mark();
    const possible = tighten(network, model, pairs, aim, middle);
    network.backTo(mark);
    if (possible) high = middle;
    else low = middle + 1;
  }
  return low;
}
