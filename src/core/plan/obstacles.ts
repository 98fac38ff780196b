import type { Obstacle, PlanProblem, PlanRun } from './problem.js';
import { possibility } from './solve.js';

/** How many nodes of search one trial may take. */
const NODES = 300;

/**
 * Of a problem that is proven to have no plan: a set of what stands in its way together. Lifts one thing after the other
 * and leaves out for good what the contradiction does not need (deletion filter: Chinneck and Dravnieks 1991, ORSA J
 * Comput 3:157-168); `minimal` when a plan was found without each one that is left.
 */
export function obstaclesTo(problem: PlanProblem, mayGoOn: () => boolean): { obstacles: Obstacle[]; minimal: boolean } {
  const obstacles: Obstacle[] = [];
  let rest = problem;
  let minimal = true;
  for (const obstacle of candidates(problem)) {
    if ('run' in obstacle && !rest.runs.some(({ id }) => id === obstacle.run)) continue;
    const lifted = lift(rest, obstacle);
    const answer = mayGoOn() ? possibility(lifted, NODES) : 'unknown';
    if (answer === 'impossible') {
      rest = lifted;
      continue;
    }
    obstacles.push(obstacle);
    minimal &&= answer === 'possible';
  }
  return { obstacles, minimal };
}

/** What can be lifted; what comes first is left out rather than what comes last. */
function candidates({ runs, hands, busy, stations, horizonSec }: PlanProblem): Obstacle[] {
  const ofEach = (of: (run: PlanRun) => Obstacle[]): Obstacle[] => runs.flatMap(of);
  return [
    ...ofEach(({ id }) => [{ kind: 'run', run: id }]),
    ...ofEach(({ id, steps }) =>
      steps.slice(0, -1).flatMap(({ maxSec }, step) => (maxSec === null ? [] : [{ kind: 'longest', run: id, step }])),
    ),
    ...ofEach(({ id, earliestSec }) => (earliestSec ? [{ kind: 'earliest', run: id }] : [])),
    ...(stations ?? []).map(({ id }): Obstacle => ({ kind: 'station', station: id })),
    ...(busy ?? []).map((interval): Obstacle => ({ kind: 'busy', ...interval })),
    ...hands.flatMap(({ id, away }) => away.map((interval): Obstacle => ({ kind: 'away', hands: id, ...interval }))),
    ...(horizonSec === undefined ? [] : [{ kind: 'horizon' as const }]),
    ...ofEach(({ id, latestStartSec }) => (latestStartSec === undefined ? [] : [{ kind: 'latest start', run: id }])),
    ...ofEach(({ id, deadlineSec }) => (deadlineSec === undefined ? [] : [{ kind: 'deadline', run: id }])),
    { kind: 'hands' },
  ];
}

/** The problem as it would be without one obstacle. */
function lift(problem: PlanProblem, obstacle: Obstacle): PlanProblem {
  const { runs, hands, busy, stations } = problem;
  const inRun = (change: (run: PlanRun) => PlanRun): PlanProblem => ({
    ...problem,
    runs: runs.map((run) => ('run' in obstacle && run.id === obstacle.run ? change(run) : run)),
  });
  switch (obstacle.kind) {
    case 'run':
      return { ...problem, runs: runs.filter(({ id }) => id !== obstacle.run) };
    case 'earliest':
      return inRun((run) => ({ ...run, earliestSec: 0 }));
    case 'latest start':
      return inRun((run) => without(run, 'latestStartSec'));
    case 'deadline':
      return inRun((run) => without(run, 'deadlineSec'));
    case 'longest':
      return inRun((run) => ({
        ...run,
        steps: run.steps.map((step, k) => (k === obstacle.step ? { ...step, maxSec: null } : step)),
      }));
    case 'horizon':
      return without(problem, 'horizonSec');
    case 'busy':
      return { ...problem, busy: (busy ?? []).filter((interval) => !isSame(interval, obstacle)) };
    case 'away':
      return {
        ...problem,
        hands: hands.map((pair) =>
          pair.id === obstacle.hands
            ? { ...pair, away: pair.away.filter((interval) => !isSame(interval, obstacle)) }
            : pair,
        ),
      };
    case 'station':
      return {
        ...problem,
        stations: (stations ?? []).map((s) => (s.id === obstacle.station ? { ...s, capacity: runs.length + 1 } : s)),
      };
    case 'hands': {
      // A pair for each step of each run is more than can ever be busy at once.
      const many = runs.flatMap(({ id, steps }) => steps.map((_, k) => ({ id: `${id} ${k}`, away: [] })));
      return { ...problem, hands: [...hands, ...many] };
    }
  }
}

function without<T, K extends keyof T>(of: T, key: K): T {
  const { [key]: _, ...rest } = of;
  return rest as T;
}

function isSame(a: { fromSec: number; toSec: number | null }, b: { fromSec: number; toSec: number | null }): boolean {
  return a.fromSec === b.fromSec && a.toSec === b.toSec;
}
