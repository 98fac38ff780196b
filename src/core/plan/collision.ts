import type { Network } from './network.js';
import type { Activity, Resource } from './activity.js';
import type { Model } from './model.js';
import { placedEarly, shareOut, type HandsOf, type Placed } from './share-out.js';
import { isBefore, notPrecede, precede } from './tighten.js';

/** One way out of a collision; `otherwise` forbids it, so that later ways need not find it again. */
export interface Way {
  take: () => boolean;
  otherwise: () => boolean;
}

/**
 * The ways out of the first collision when everything starts as early as the network allows; null when there is none,
 * which makes those starts a schedule. Each schedule of the network takes one of the ways.
 */
export function firstCollision(network: Network, model: Model, hands: HandsOf): Way[] | null {
  let first: { at: number; among: Activity[] } | null = null;
  for (const resource of model.resources) {
    const found = overuse(placedEarly([...resource.taken, ...resource.work], network), resource.capacity);
    if (found && (!first || found.at < first.at)) first = found;
  }
  if (first) return orders(network, first.among);
  for (const resource of model.resources) {
    if (resource.away.length > 0) {
      const ways = handsCollision(network, resource, hands);
      if (ways) return ways;
    }
  }
  return null;
}

/** The fewest activities that at one second need more than there is, at the first such second. */
function overuse(all: Placed[], capacity: number): { at: number; among: Activity[] } | null {
  let open: Placed[] = [];
  for (const next of all) {
    open = open.filter(({ to }) => to > next.from);
    open.push(next);
    let units = open.reduce((sum, { activity }) => sum + activity.units, 0);
    if (units <= capacity) continue;
    // What ends first is the least in the way.
    const among = open.sort((a, b) => b.to - a.to).map(({ activity }) => activity);
    for (let k = among.length - 1; k >= 0; k--) {
      const rest = units - (among[k] as Activity).units;
      if (rest <= capacity || among[k] === next.activity) continue;
      among.splice(k, 1);
      units = rest;
    }
    return { at: next.from, among };
  }
  return null;
}

/** Every order of two of them that is still open, the one that delays least first. */
function orders(network: Network, among: Activity[]): Way[] {
  const ways: { delay: number; a: Activity; b: Activity }[] = [];
  for (const a of among) {
    for (const b of among) {
      if (a === b || isBefore(network, a, b)) continue;
      const gap = a.endLag - b.startLag;
      if (network.least(b.start, a.end) + gap > 0) continue;
      ways.push({ delay: network.earliest(a.end) + gap - network.earliest(b.start), a, b });
    }
  }
  ways.sort((x, y) => x.delay - y.delay);
  return ways.map(({ a, b }) => ({ take: () => precede(network, a, b), otherwise: () => notPrecede(network, a, b) }));
}

/**
 * Pairs of hands that are away at different times are not alike: enough hands at every second may still leave a moment
 * that nobody can do from start to end. Settles who does what, one activity at a time.
 */
function handsCollision(network: Network, resource: Resource, hands: HandsOf): Way[] | null {
  const own = resource.away.map((away, person) => [
    ...away,
    ...[...hands].filter(([, p]) => p === person).map(([a]) => a),
  ]);
  for (const activities of own) {
    const found = overuse(placedEarly(activities, network), 1);
    if (found) return orders(network, found.among);
  }
  const all = placedEarly([...resource.held, ...resource.work], network);
  const stuck = shareOut(all, resource, hands).stuckAt;
  if (stuck === null) return null;
  const activity = all
    .slice(0, stuck + 1)
    .reverse()
    .find((p) => !hands.has(p.activity))?.activity;
  if (!activity) return [];
  return resource.away.map((_, person) => ({
    take: () => {
      hands.set(activity, person);
      return true;
    },
    otherwise: () => true,
  }));
}
