import type { Network } from './network.js';
import type { Activity, Resource } from './activity.js';
import type { Model } from './model.js';

/** What is to be made small: the latest of some moments, each with what comes after it. */
export interface Aim {
  terms: { moment: number; lag: number }[];
}

/** The value of an aim when every moment is as early as the network allows: no schedule of the network has less. */
export function leastValue(network: Network, { terms }: Aim): number {
  let value = 0;
  for (const { moment, lag } of terms) value = Math.max(value, network.earliest(moment) + lag);
  return value;
}

/** For each moment the latest second at which it can be while the aim stays at or below `limit`. */
function latestSeconds(network: Network, { terms }: Aim, limit: number): Float64Array {
  const latest = new Float64Array(network.size);
  for (let u = 0; u < network.size; u++) {
    let sec = network.latest(u);
    for (const { moment, lag } of terms) sec = Math.min(sec, limit - lag - network.least(u, moment));
    latest[u] = sec;
  }
  return latest;
}

/** Two activities that together need more than there is, one of which has to end before the other begins. */
export interface Pair {
  a: Activity;
  b: Activity;
}

/** All pairs of a model that exclude each other. */
export function exclusivePairs({ resources }: Model): Pair[] {
  return resources.flatMap(({ work, taken, capacity }) =>
    work.flatMap((a, i) => [
      ...taken.filter((b) => b.units === capacity).map((b) => ({ a, b })),
      ...(capacity === 1 ? work.slice(i + 1).map((b) => ({ a, b })) : []),
    ]),
  );
}

/**
 * Adds every order of a pair that is forced while the aim stays at or below `limit` and gives back the pairs whose order
 * is still open; null when there is nothing to be found: an order is impossible both ways, or a stretch of time holds
 * more work than it has room for.
 */
export function tighten(network: Network, model: Model, pairs: Pair[], aim: Aim, limit: number): Pair[] | null {
  let open = pairs;
  for (let changed = true; changed;) {
    if (leastValue(network, aim) > limit) return null;
    const latest = latestSeconds(network, aim, limit);
    changed = false;
    const still: Pair[] = [];
    for (const pair of open) {
      const { a, b } = pair;
      if (isBefore(network, a, b) || isBefore(network, b, a)) continue;
      const ab = canPrecede(network, a, b, latest);
      const ba = canPrecede(network, b, a, latest);
      if (ab && ba) still.push(pair);
      else if ((ab && precede(network, a, b)) || (ba && precede(network, b, a))) changed = true;
      else return null;
    }
    open = still;
    if (!changed && !model.resources.every((resource) => hasRoom(network, resource, latest))) return null;
  }
  return open;
}

export function isBefore(network: Network, a: Activity, b: Activity): boolean {
  return network.least(a.end, b.start) >= a.endLag - b.startLag;
}

export function precede(network: Network, a: Activity, b: Activity): boolean {
  return network.ask(a.end, b.start, a.endLag - b.startLag);
}

/** Forbids what `precede` asks: b starts before a ends, in whole seconds. */
export function notPrecede(network: Network, a: Activity, b: Activity): boolean {
  return network.ask(b.start, a.end, b.startLag - a.endLag + 1);
}

function canPrecede(network: Network, a: Activity, b: Activity, latest: Float64Array): boolean {
  const gap = a.endLag - b.startLag;
  return network.least(b.start, a.end) + gap <= 0 && network.earliest(a.end) + gap <= (latest[b.start] as number);
}

/**
 * Whether no stretch of time holds more work than the resource can do in it: for every earliest start r and every
 * latest end d the least work that must fall between them is at most capacity times (d - r). For one pair of hands this
 * is Jackson's preemptive bound (Carlier 1982, Eur J Oper Res 11:42-47).
 */
function hasRoom(network: Network, { work, taken, capacity }: Resource, latest: Float64Array): boolean {
  const windows = [...taken, ...work].map((a) => ({
    from: network.earliest(a.start) + a.startLag,
    to: (latest[a.end] as number) + a.endLag,
    length: network.least(a.start, a.end) + a.endLag - a.startLag,
    units: a.units,
  }));
  windows.sort((a, b) => a.to - b.to);
  for (const start of new Set(windows.map(({ from }) => from))) {
    let load = 0;
    for (const { from, to, length, units } of windows) {
      load += Math.max(0, Math.min(length, from + length - start)) * units;
      if (load > capacity * Math.max(to - start, 0)) return false;
    }
  }
  return true;
}
