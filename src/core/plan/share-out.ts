import type { Network } from './network.js';
import type { Activity, Resource } from './activity.js';

/** Which pair of hands does an activity, by its index, where that is settled. */
export type HandsOf = Map<Activity, number>;

/** An activity with the seconds that it takes. */
export interface Placed {
  activity: Activity;
  from: number;
  to: number;
}

/** The activities that take time at all, in the order of their starts, when each moment is at its `second`. */
export function placedAt(activities: Activity[], second: (moment: number) => number): Placed[] {
  const placed: Placed[] = [];
  for (const activity of activities) {
    const from = second(activity.start) + activity.startLag;
    const to = second(activity.end) + activity.endLag;
    if (to > from) placed.push({ activity, from, to });
  }
  return placed.sort((a, b) => a.from - b.from);
}

/** As `placedAt`, with every moment as early as the network allows. */
export function placedEarly(activities: Activity[], network: Network): Placed[] {
  return placedAt(activities, (moment) => network.earliest(moment));
}

interface Reached {
  /** Until when each unit is taken; nothing when it is free. */
  until: number[];
  unit: number;
  before: Reached | null;
}

/**
 * Which unit of a resource does each of the placed activities, nobody two at a time and nobody while away; where there
 * is no way, `stuckAt` is the index of the first that finds nobody.
 */
export function shareOut(
  all: Placed[],
  { capacity, away }: Pick<Resource, 'capacity' | 'away'>,
  settled: HandsOf = new Map(),
): { stuckAt: number; units: null } | { stuckAt: null; units: number[] } {
  const absences = Array.from({ length: capacity }, (_, unit) => away[unit] ?? []);
  const kinds = absences.map((list) => JSON.stringify(list.map(({ startLag, endLag }) => [startLag, endLag])));
  let states: Reached[] = [{ until: absences.map(() => 0), unit: -1, before: null }];
  for (const [k, { activity, from, to }] of all.entries()) {
    const next = new Map<string, Reached>();
    for (const state of states) {
      const tried = new Set<string>();
      for (let unit = 0; unit < capacity; unit++) {
        if ((settled.get(activity) ?? unit) !== unit || (state.until[unit] as number) > from) continue;
        if ((absences[unit] as Activity[]).some((a) => a.startLag < to && a.endLag > from)) continue;
        // Of free units that are alike one is as good as another, unless something is settled for one of them.
        if (settled.size === 0 && tried.has(kinds[unit] as string)) continue;
        tried.add(kinds[unit] as string);
        const until = state.until.map((sec, u) => (u === unit ? to : sec <= from ? 0 : sec));
        next.set(until.join(' '), { until, unit, before: state });
      }
    }
    if (next.size > 0) states = [...next.values()];
    else return { stuckAt: k, units: null };
  }
  const units: number[] = [];
  for (let state = states[0]; state?.before; state = state.before) units.push(state.unit);
  return { stuckAt: null, units: units.reverse() };
}
