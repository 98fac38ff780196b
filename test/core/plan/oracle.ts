import type { PlanProblem } from '../../../src/core/plan/problem.js';

interface Moment {
  from: number;
  to: number;
}

/**
 * The least of what `value` makes of the starts of any schedule of a small problem, by trying every whole second for
 * every step and every pair of hands for every hands-on moment; null when there is none. Knows nothing of the planner.
 */
export function leastByTrying(problem: PlanProblem, value: (starts: number[][]) => number): number | null {
  const { runs, hands, horizonSec = 0, nowSec = 0 } = problem;
  let best: number | null = null;
  const starts: number[][] = runs.map(() => []);

  function chooseStep(r: number, k: number): void {
    const run = runs[r];
    if (!run) {
      if (best !== null && value(starts) >= best) return;
      if (stationsHold(problem, starts) && handsHold(problem, starts)) best = value(starts);
      return;
    }
    const step = run.steps[k];
    if (!step) return chooseStep(r + 1, 0);
    const begun = run.begunSec?.[k];
    const own = starts[r]!;
    const before = run.steps[k - 1];
    const last = k === run.steps.length - 1;
    for (let sec = begun ?? nowSec; sec <= (begun ?? horizonSec); sec++) {
      if (begun === undefined) {
        if (k === 0 && (sec < (run.earliestSec ?? 0) || sec > (run.latestStartSec ?? sec))) continue;
        if (before && sec - own[k - 1]! < before.minSec) continue;
        if (before && before.maxSec !== null && sec - own[k - 1]! > before.maxSec) continue;
        if (last && sec + step.handsOnSec > Math.min(run.deadlineSec ?? horizonSec, horizonSec)) continue;
      }
      own[k] = sec;
      chooseStep(r, k + 1);
      own.length = k;
    }
  }

  function handsHold({ busy = [] }: PlanProblem, at: number[][]): boolean {
    const moments = runs.flatMap(({ steps, begunSec }, r) =>
      steps.flatMap(({ handsOnSec }, k) => {
        const from = at[r]![k]!;
        // What has begun before now and is over by now matters to nobody.
        if (begunSec?.[k] !== undefined && from + handsOnSec <= nowSec) return [];
        return handsOnSec > 0 ? [{ from, to: from + handsOnSec }] : [];
      }),
    );
    const all = [...moments, ...busy.map(({ fromSec, toSec }) => ({ from: fromSec, to: toSec ?? Infinity }))];
    const done: Moment[][] = hands.map(({ away }) =>
      away.map(({ fromSec, toSec }) => ({ from: fromSec, to: toSec ?? Infinity })),
    );
    const give = (n: number): boolean => {
      const moment = all[n];
      if (!moment) return true;
      return done.some((own) => {
        if (own.some(({ from, to }) => from < moment.to && to > moment.from)) return false;
        own.push(moment);
        const possible = give(n + 1);
        own.pop();
        return possible;
      });
    };
    return give(0);
  }

  chooseStep(0, 0);
  return best;
}

function stationsHold({ runs, stations = [] }: PlanProblem, starts: number[][]): boolean {
  return stations.every(({ id, capacity }) => {
    const stays = runs.flatMap(({ steps }, r) =>
      steps.flatMap(({ station }, k) => {
        // Two steps in a row at one station are one stay.
        if (station !== id || steps[k - 1]?.station === id) return [];
        let end = k;
        while (steps[end]?.station === id) end++;
        end = Math.min(end, steps.length - 1);
        return [{ from: starts[r]![k]!, to: starts[r]![end]! + steps[end]!.handsOnSec }];
      }),
    );
    return stays.every(
      ({ from, to }) => to === from || stays.filter((s) => s.from <= from && s.to > from).length <= capacity,
    );
  });
}
