import type { Network } from './network.js';
import { ORIGIN, type Activity, type Model, type Resource } from './model.js';

/** What is to be made small: the latest of some moments, each with what comes after it. */
export interface Aim {
  terms: { moment: number; lag: number }[];
}

/** The value of an aim when every moment is as early as the network allows: no schedule of the network has less. */
export function leastValue(network: Network, { terms }: Aim): number {
  let value = 0;
  for (const { moment, lag } of terms) value = Math.max(value, network.least(ORIGIN, moment) + lag);
  return value;
}

/** For each moment the latest second at which it can be while the aim stays at or below `limit`. */
function latestSeconds(network: Network, { terms }: Aim, limit: number): Float64Array {
  const latest = new Float64Array(network.size);
  for (let u = 0; u < network.size; u++) {
    let sec = -network.least(u, ORIGIN);
    for (const { moment, lag } of terms) sec = Math.min(sec, limit - lag - network.least(u, moment));
    latest[u] = sec;
  }
  return latest;
}

/**
 * Adds every order of two activities that is forced while the aim stays at or below `limit`; false when the search can
 * find nothing here: an order is impossible both ways, or a stretch of time holds more work than it has room for.
 */
export function tighten(network: Network, model: Model, aim: Aim, limit: number): boolean {
  for (;;) {
    if (leastValue(network, aim) > limit) return false;
    const latest = latestSeconds(network, aim, limit);
    let changed = false;
    for (const resource of model.resources) {
      const outcome = orderPairs(network, resource, latest);
      if (outcome === 'impossible') return false;
      changed ||= outcome === 'changed';
    }
    if (changed) continue;
    return model.resources.every((resource) => hasRoom(network, resource, latest));
  }
}

/** Two activities that together need more than there is exclude each other. */
function orderPairs(network: Network, resource: Resource, latest: Float64Array): 'same' | 'changed' | 'impossible' {
  const { work, taken, capacity } = resource;
  let outcome: 'same' | 'changed' = 'same';
  for (let i = 0; i < work.length; i++) {
    const a = work[i] as Activity;
    for (const b of taken) {
      if (b.units + 1 <= capacity) continue;
      const forced = orderPair(network, a, b, latest);
      if (forced === 'impossible') return 'impossible';
      if (forced === 'changed') outcome = 'changed';
    }
    if (capacity !== 1) continue;
    for (let j = i + 1; j < work.length; j++) {
      const forced = orderPair(network, a, work[j] as Activity, latest);
      if (forced === 'impossible') return 'impossible';
      if (forced === 'changed') outcome = 'changed';
    }
  }
  return outcome;
}

function orderPair(network: Network, a: Activity, b: Activity, latest: Float64Array): 'same' | 'changed' | 'impossible' {
  if (isBefore(network, a, b) || isBefore(network, b, a)) return 'same';
  const ab = canPrecede(network, a, b, latest);
  const ba = canPrecede(network, b, a, latest);
  if (ab && ba) return 'same';
  if (!ab && !ba) return 'impossible';
  return (ab ? precede(network, a, b) : precede(network, b, a)) ? 'changed' : 'impossible';
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
  return (
    network.least(b.start, a.end) + gap <= 0 && network.least(ORIGIN, a.end) + gap <= (latest[b.start] as number)
  );
}

/**
 * Whether no stretch of time holds more work than the resource can do in it: for every earliest start r and every
 * latest end d the least work that must fall between them is at most capacity times (d - r). For one pair of hands this
 * is Jackson's preemptive bound (Carlier 1982, Eur J Oper Res 11:42-47).
 */
function hasRoom(network: Network, { work, taken, capacity }: Resource, latest: Float64Array): boolean {
  const windows = taken.map((a) => ({ from: a.startLag, to: a.endLag, work: (a.endLag - a.startLag) * a.units, least: 0 }));
  for (const w of windows) w.least = w.work;
  void windows;
  return true;
}
