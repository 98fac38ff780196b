import { chosenOrders } from './improve.js';
import { modelOf } from './model.js';
import { ORIGIN, type Demand } from './network.js';
import type { PlanProblem } from './problem.js';

/** What a moment must keep away from: never nearer than `room` on that side. */
interface Neighbour {
  moment: number;
  weight: number;
}

/**
 * Among schedules with the same orders and no later ends than the problem allows, one whose steps last as near to their
 * targets as can be reached by moving the front or the rest of one run at a time: fewer and shorter waits, starts no
 * earlier than they need to be. Not proven to be the nearest. Starts by run, in whole seconds.
 */
export function settle(problem: PlanProblem, byRun: number[][]): number[][] {
  const model = modelOf(problem);
  const starts = [0, ...byRun.flat()];
  const [after, before] = neighbours(model.size, [...model.demands, ...chosenOrders(model, starts, new Set())]);
  const least = (group: Set<number>, near: Neighbour[][], gap: (m: number, n: Neighbour) => number): number => {
    let room = Number.POSITIVE_INFINITY;
    for (const m of group) {
      for (const n of near[m] ?? []) if (!group.has(n.moment)) room = Math.min(room, gap(m, n));
    }
    return room;
  };
  const at = (moment: number): number => starts[moment] ?? 0;
  const later = (group: Set<number>): number => least(group, after, (m, n) => at(n.moment) - at(m) - n.weight);
  const sooner = (group: Set<number>): number => least(group, before, (m, n) => at(m) - at(n.moment) - n.weight);
  const move = (group: Set<number>, by: number): void => {
    for (const m of group) starts[m] = at(m) + by;
  };

  for (let moved = true; moved;) {
    moved = false;
    for (const [r, { steps }] of problem.runs.entries()) {
      const moments = model.moments[r] ?? [];
      for (let k = 0; k < moments.length - 1; k++) {
        const lasts = at(moments[k + 1] ?? 0) - at(moments[k] ?? 0);
        const long = lasts - (steps[k]?.targetSec ?? steps[k]?.minSec ?? 0);
        if (long === 0) continue;
        const [front, rest] = [new Set(moments.slice(0, k + 1)), new Set(moments.slice(k + 1))];
        const [frontRoom, restRoom] = long > 0 ? [later(front), sooner(rest)] : [sooner(front), later(rest)];
        const byFront = Math.min(Math.abs(long), frontRoom);
        const byRest = Math.min(Math.abs(long) - byFront, restRoom);
        move(front, Math.sign(long) * byFront);
        move(rest, -Math.sign(long) * byRest);
        if (byFront + byRest > 0) moved = true;
      }
    }
  }
  return model.moments.map((moments) => moments.map(at));
}

/** By moment: what comes after it and what comes before it, with the least seconds between. */
function neighbours(size: number, demands: Demand[]): [Neighbour[][], Neighbour[][]] {
  const after: Neighbour[][] = Array.from({ length: size }, () => []);
  const before: Neighbour[][] = Array.from({ length: size }, () => []);
  for (const { from, to, weight } of demands) {
    if (from !== ORIGIN) after[from]?.push({ moment: to, weight });
    if (to !== ORIGIN) before[to]?.push({ moment: from, weight });
  }
  return [after, before];
}
