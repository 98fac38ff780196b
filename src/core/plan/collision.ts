import { ORIGIN, type Network } from './network.js';
import type { Activity, Model, Resource } from './model.js';
import { isBefore, notPrecede, precede } from './tighten.js';

/** One way out of a collision; `otherwise` forbids it, so that later ways need not find it again. */
export interface Way {
  take: () => boolean;
  otherwise: () => boolean;
}

/** Which pair of hands does an activity, where the search has settled it. */
export type Hands = Map<Activity, number>;

interface Placed {
  activity: Activity;
  from: number;
  to: number;
}

function placed(network: Network, activities: Activity[]): Placed[] {
  return activities
    .map((activity) => ({
      activity,
      from: network.earliest(activity.start) + activity.startLag,
      to: network.earliest(activity.end) + activity.endLag,
    }))
    .filter(({ from, to }) => to > from)
    .sort((a, b) => a.from - b.from);
}

/**
 * The ways out of the first collision when everything starts as early as the network allows; null when there is none,
 * which makes those starts a schedule. Each schedule of the network takes one of the ways.
 */
export function firstCollision(network: Network, model: Model, hands: Hands): Way[] | null {
  let first: { at: number; among: Activity[] } | null = null;
  for (const resource of model.resources) {
    const found = overuse(placed(network, [...resource.taken, ...resource.work]), resource.capacity);
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
function handsCollision(network: Network, resource: Resource, hands: Hands): Way[] | null {
  const own = resource.away.map((away, person) => [...away, ...[...hands].filter(([, p]) => p === person).map(([a]) => a)]);
  for (const activities of own) {
    const found = overuse(placed(network, activities), 1);
    if (found) return orders(network, found.among);
  }
  const all = placed(network, [...resource.held, ...resource.work]);
  const stuck = shareOut(all, resource.away, hands).stuckAt;
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

/**
 * Who does which of the activities, in the order of their starts; where nobody can, `stuckAt` is its index. What is
 * held and nobody can do is history that two shared, and takes nobody.
 */
export function shareOut(
  all: Placed[],
  away: Activity[][],
  hands: Hands,
): { stuckAt: number; who: null } | { stuckAt: null; who: (number | null)[] } {
  interface Reached {
    until: number[];
    person: number | null;
    before: Reached | null;
  }
  let states: Reached[] = [{ until: away.map(() => Number.NEGATIVE_INFINITY), person: null, before: null }];
  for (const [k, { activity, from, to }] of all.entries()) {
    const next = new Map<string, Reached>();
    for (const state of states) {
      away.forEach((absences, person) => {
        if ((hands.get(activity) ?? person) !== person || (state.until[person] as number) > from) return;
        if (absences.some((a) => a.startLag < to && a.endLag > from)) return;
        // Who is free by now is free, whenever it was.
        const until = state.until.map((sec, p) => (p === person ? to : sec <= from ? Number.NEGATIVE_INFINITY : sec));
        const key = until.join(' ');
        if (!next.has(key)) next.set(key, { until, person, before: state });
      });
    }
    if (next.size > 0) states = [...next.values()];
    else if (activity.start === ORIGIN) states = states.map((before) => ({ ...before, person: null, before }));
    else return { stuckAt: k, who: null };
  }
  const who: (number | null)[] = [];
  for (let state = states[0]; state?.before; state = state.before) who.push(state.person);
  return { stuckAt: null, who: who.reverse() };
}
